// The link to the player that lies in the page: what the views ask for goes to it, and what it tells goes to them.

import { say } from "../element.js";
import { putPlayer } from "./output.js";
import { fetchText } from "./scripts.js";
import { fromBase64, readSound, Sounds } from "./sounds.js";
import { StandOut } from "./standout.js";
import { tellReturns } from "./returns.js";

const safeDB = -20; // where the output begins
const heardMS = 200; // between two looks at who stands out

/**
 * @typedef {import("../types.js").AloneTold} AloneTold
 * @typedef {import("./player.js").PlayerTold} PlayerTold
 */

export class AloneLink {
	alone = true;
	#told;
	#script;
	/** @type {Map<string, ((what: any) => void)[]>} */
	#listeners = new Map();
	/** @type {Map<string, any>} */
	#last = new Map();
	/** @type {((picture: import("../picture.js").Picture) => void)[]} */
	#pictures = [];
	/** @type {AudioContext | null} */
	#context = null;
	/** @type {import("./orders.js").Order[]} given before there is a player */
	#early = [];
	/** @type {((order: import("./orders.js").Order) => void) | null} */
	#order = null;
	#sounds;
	/** @type {StandOut | null} */
	#standOut = null;
	#held = "";
	#heldCount = 0;
	#chordFrame = -1;
	#heardMS = 0;
	#outputDB = safeDB;

	/**
	 * @param {AloneTold} told
	 * @param {string} script of the audio thread
	 */
	constructor(told, script) {
		this.#told = told;
		this.#script = script;
		this.#sounds = new Sounds(told.keyMap.files, (file, sides) => this.#give({ file, sides }),
			(drop) => this.#give({ drop }), (read, of, failed) => this.#tell("reading", { read, of, failed }));
		this.#tell("map", told.map);
		this.#tell("returns", tellReturns(-1, []));
		this.#tellHeard([]);
		this.#show(silence);
	}

	/** Begins to read the sounds and who is in them. */
	open() {
		this.#sounds.begin();
		this.#readHeard();
	}

	async #readHeard() {
		const { heard, map } = this.#told;
		if (heard) this.#standOut = new StandOut(heard, map, await readCourses());
	}

	/**
	 * The takes that stand out of what plays, once it is known who is where.
	 * @param {import("./standout.js").Playing[]} playing
	 */
	standOut(playing) {
		return this.#standOut?.now(playing) ?? [];
	}

	/**
	 * @param {string} told
	 * @param {(what: any) => void} heed
	 */
	on(told, heed) {
		this.#listeners.set(told, [...(this.#listeners.get(told) ?? []), heed]);
		if (this.#last.has(told)) heed(this.#last.get(told));
	}

	/** @param {(picture: import("../picture.js").Picture) => void} heed */
	onPicture(heed) {
		this.#pictures.push(heed);
		heed(this.#picture(silence));
	}

	/** @param {(connected: boolean) => void} heed */
	onState(heed) {
		heed(true);
	}

	/**
	 * @param {string} told
	 * @param {any} what
	 */
	#tell(told, what) {
		this.#last.set(told, what);
		for (const heed of this.#listeners.get(told) ?? []) heed(what);
	}

	/** @param {{do: string} & Record<string, any>} message */
	send(message) {
		switch (message.do) {
			case "note":
				this.midi(message.velocity > 0 ? [0x90, message.key, message.velocity] : [0x80, message.key, 64]);
				break;
			case "control":
				this.midi([0xb0, message.number, message.value]);
				break;
			case "bend":
				this.midi([0xe0, message.value & 0x7f, message.value >> 7]);
				break;
			case "silence":
				this.midi([0xb0, 120, 0]);
				break;
			case "latch":
				this.#give({ latch: message.on });
				break;
			case "strike":
				this.#give({ strike: true });
				break;
			case "level":
				this.#outputDB = Math.min(message.db, 0);
				this.#give({ output: 10 ** (this.#outputDB / 20) });
				break;
			case "where":
				this.#tell("where", { take: message.take, beds: (this.#told.heard?.beds ?? [])
					.filter((bed) => bed.takes.some((take) => take.name === message.take)).map((bed) => bed.path) });
		}
		if (!this.#order) this.#show(silence);
	}

	/**
	 * Takes a message of MIDI. The first note begins the sound: a browser lets no page sound before a hand has touched
	 * it.
	 * @param {number[]} bytes
	 */
	midi(bytes) {
		this.#give({ midi: bytes });
		if ((bytes[0] & 0xf0) === 0x90) this.#begin();
	}

	/** @param {import("./orders.js").Order} order */
	#give(order) {
		if (this.#order) this.#order(order);
		else this.#early.push(order);
	}

	#begin() {
		if (this.#context) {
			if (this.#context.state === "suspended") this.#context.resume();
			return;
		}
		this.#context = new AudioContext({ latencyHint: "interactive" });
		this.#context.resume();
		putPlayer(this.#context, this.#script, this.#start(10 ** (this.#outputDB / 20)), [],
			(answer) => this.#hear(answer))
			.then((order) => {
				this.#order = order;
				for (const early of this.#early) order(early);
				this.#early = [];
			}, (error) => say(`There is no sound: ${error.message}`));
	}

	/**
	 * @param {number} output
	 * @returns {import("./orders.js").Start}
	 */
	#start(output) {
		return { map: this.#told.keyMap, gains: this.#told.map.dynamics.gains, output };
	}

	/** @param {import("./orders.js").Answer} answer */
	#hear({ ask, dropped, told }) {
		if (ask) this.#sounds.ask(ask);
		if (dropped) this.#sounds.dropped(dropped);
		if (told) this.#show(told);
	}

	/** @param {PlayerTold} told */
	#show(told) {
		const rateHz = this.#context?.sampleRate ?? 48000;
		this.#watch(told, rateHz);
		const picture = this.#picture(told);
		for (const heed of this.#pictures) heed(picture);
		const nowMS = performance.now();
		if (nowMS - this.#heardMS < heardMS) return;
		this.#heardMS = nowMS;
		this.#tellHeard(this.standOut(told.parts.map((part) => {
			const row = this.#told.keyMap.files[part.row];
			return {
				zone: this.#told.rowZones[part.row], layer: part.layer, key: part.key, turns: part.begin + part.played,
				ratio: (part.step * rateHz) / row.rate_hz, power: part.gain ** 2,
			};
		})));
	}

	/** @param {import("../types.js").TakeTold[]} takes */
	#tellHeard(takes) {
		this.#tell("heard", {
			reading: false, unknown: [], takes,
			error: this.#told.heard ? undefined : "the export does not say who is in which bed",
		});
	}

	/**
	 * Follows the chord that is held: it began as the last key joined it or left it.
	 * @param {PlayerTold} told
	 * @param {number} rateHz
	 */
	#watch(told, rateHz) {
		const parts = told.parts.filter((part) => part.state <= 1);
		const held = parts.map((part) => `${part.key} ${part.row} ${part.beganFrame}`).join();
		const bent = parts.map((part) => part.step).join();
		if (`${held}/${bent}` === this.#held) return;
		if (held !== this.#held.split("/")[0]) {
			if (parts.length === 0) this.#chordFrame = -1;
			else if (parts.length < this.#heldCount) this.#chordFrame = told.frame;
			else this.#chordFrame = Math.max(...parts.map((part) => part.beganFrame));
		}
		[this.#held, this.#heldCount] = [`${held}/${bent}`, parts.length];
		this.#tell("returns", tellReturns(this.#chordFrame, parts.map((part) => this.#turnSec(part, rateHz))));
	}

	/**
	 * @param {import("./player.js").PartTold} part
	 * @param {number} rateHz
	 */
	#turnSec(part, rateHz) {
		return this.#told.keyMap.files[part.row].frames / part.step / rateHz;
	}

	/**
	 * @param {PlayerTold} told
	 * @returns {import("../picture.js").Picture}
	 */
	#picture(told) {
		const rateHz = this.#context?.sampleRate ?? 48000;
		const dB = (/** @type {number} */ gain) => 20 * Math.log10(Math.max(gain, 1e-6));
		return {
			...told, recording: false, building: false, chordFrame: this.#chordFrame, volumeDB: dB(told.volumeGain),
			rateHz, outputDB: this.#outputDB, faderDB: this.#outputDB, truePeakDB: dB(told.peak) + this.#outputDB,
			load: 0, worstLoad: 0, underruns: 0, misses: 0, readErrors: 0, events: 0,
			cycles: told.parts.map((part) => ({
				key: part.key, channel: 0, layer: part.layer, state: part.state, zone: this.#told.rowZones[part.row],
				map: this.#told.map.number, beganFrame: part.beganFrame, played: part.played, start: part.begin,
				turnSec: this.#turnSec(part, rateHz), level: part.level, gain: part.gain,
			})),
		};
	}

	/**
	 * Plays a score into a buffer at full level, for those who compare it.
	 * @param {{frame: number, midi: number[]}[]} messages
	 * @param {number} frames
	 * @param {number} rateHz
	 */
	async perform(messages, frames, rateHz) {
		const context = new OfflineAudioContext(2, frames, rateHz);
		/** @type {import("./orders.js").Order[]} */
		const orders = [...messages];
		for (const row of this.#told.keyMap.files) {
			if (orders.some((order) => order.file === row.file)) continue;
			orders.unshift({ file: row.file, sides: await readSound(row) });
		}
		await putPlayer(context, this.#script, this.#start(1), orders, () => {});
		return context.startRendering();
	}
}

/** @type {PlayerTold} what there is before the first note */
const silence = {
	frame: 0, latch: false, hold: false, sostenuto: false, dynamics: 0, bend: 0, volumeGain: 1, volume: 127,
	outputDB: safeDB, peak: 0, reductionDB: 0, stolen: 0, waiting: 0, parts: [],
};

/** The steps of all courses, from a script that holds them packed. */
async function readCourses() {
	/** @type {any} */
	const scope = globalThis; // the types of the browser's library are older than its DecompressionStream
	const stream = new Blob([fromBase64(await fetchText("heard.js"))]).stream();
	const steps = stream.pipeThrough(new scope.DecompressionStream("gzip"));
	return new Uint8Array(await new Response(steps).arrayBuffer());
}
