// The instrument: MIDI messages to notes, notes to cycles, cycles to sound, as the key map says. It knows nothing of
// where its sound goes, and asks for the cycles that it lacks.

import { Ceiling } from "./ceiling.js";
import { Envelope, Slow } from "./envelope.js";
import { addFrames } from "./kernel.js";
import { Latch } from "./latch.js";

const lineFrames = 64; // levels and pitch move in straight lines of the output that long, cut at every message
const stealSec = 0.005;
const outputSec = 0.03; // for its level to follow
const chordSec = 0.05; // keys of one chord are struck no farther apart
const bendCentre = 8192;
const control = { volume: 7, soundOff: 120, reset: 121, notesOff: 123 };
const fineOffset = 32; // from a controller below 32 to its fine twin

/**
 * @typedef {import("../types.js").KeyMap} KeyMap
 * @typedef {import("../types.js").KeyRow} KeyRow
 * @typedef {{row: KeyRow, index: number, layer: number, sides: Int16Array[], at: number, step: number, share: number,
 *   gain: number, played: number}} Part one cycle of a note
 * @typedef {{key: number, velocity: number, began: number, gain: number, down: boolean, captured: boolean,
 *   parts: Part[], envelope: Envelope}} Note
 * @typedef {{key: number, layer: number, state: number, row: number, beganFrame: number, played: number,
 *   begin: number, step: number, level: number, gain: number}} PartTold
 * @typedef {{frame: number, latch: boolean, hold: boolean, sostenuto: boolean, dynamics: number, bend: number,
 *   volumeGain: number, volume: number, outputDB: number, peak: number, reductionDB: number, stolen: number,
 *   waiting: number, parts: PartTold[]}} PlayerTold
 */

export class Player {
	#map;
	#gains;
	#rateHz;
	#frame = 0;
	/** @type {{frame: number, bytes: number[]}[]} */
	#messages = [];
	/** @type {Note[]} in the order in which they began */
	#notes = [];
	/** @type {{key: number, velocity: number, down: boolean}[]} that wait for their cycles */
	#waiting = [];
	/** @type {Map<string, Int16Array[]>} */
	#sounds = new Map();
	#presses = new Int32Array(128);
	/** @type {(number | undefined)[]} as last received */
	#values = new Array(128).fill(undefined);
	#dynamics;
	#volume;
	#bend;
	#output;
	#hold = false;
	#sostenuto = false;
	#latch = new Latch((bytes) => this.#apply(bytes));
	#ceiling;
	#stolen = 0;
	/** @type {(file: string) => void} */
	#ask;

	/**
	 * @param {KeyMap} map
	 * @param {number[][]} gains of each layer at the 128 values of the dynamics controller
	 * @param {number} rateHz of the output
	 * @param {number} output gain of all that leaves, 0 to 1
	 * @param {(file: string) => void} ask is called with a file whose cycle is needed
	 */
	constructor(map, gains, rateHz, output, ask) {
		this.#map = map;
		this.#gains = gains;
		this.#rateHz = rateHz;
		this.#ask = ask;
		this.#dynamics = new Slow(map.dynamics_smoothing_sec * rateHz, dynamicsValue(map.dynamics_initial, 0));
		this.#volume = new Slow(map.volume_smoothing_sec * rateHz, 1);
		this.#bend = new Slow(map.bend_smoothing_sec * rateHz, 0);
		this.#output = new Slow(outputSec * rateHz, output);
		this.#ceiling = new Ceiling(rateHz);
	}

	get latency() {
		return this.#ceiling.latency;
	}

	/**
	 * Takes in the sides of a cycle, with guards at both ends.
	 * @param {string} file
	 * @param {Int16Array[]} sides
	 */
	give(file, sides) {
		this.#sounds.set(file, sides);
		const ready = this.#waiting.filter((one) => this.#lacks(one.key).length === 0);
		this.#waiting = this.#waiting.filter((one) => !ready.includes(one));
		for (const one of ready) {
			this.#noteOn(one.key, one.velocity);
			if (!one.down) for (const note of this.#notes) if (note.key === one.key) note.down = false;
		}
		this.#releaseLifted();
	}

	/**
	 * Lets go of a cycle, unless it sounds.
	 * @param {string} file
	 * @returns {boolean} whether it did
	 */
	drop(file) {
		const sounds = this.#notes.some((note) => note.parts.some((part) => part.row.file === file));
		return !sounds && this.#sounds.delete(file);
	}

	/**
	 * Takes a message of MIDI 1.0, to be applied at a frame, or as soon as may be.
	 * @param {number[]} bytes
	 * @param {number} [frame]
	 */
	take(bytes, frame = this.#frame) {
		let at = this.#messages.length;
		while (at > 0 && this.#messages[at - 1].frame > frame) at--;
		this.#messages.splice(at, 0, { frame, bytes });
	}

	/** @param {boolean} on */
	setLatch(on) {
		this.#latch.set(on);
	}

	/** @param {number} gain of all that leaves, 0 to 1 */
	setOutput(gain) {
		this.#output.target = Math.min(gain, 1);
	}

	/** Strikes every key that sounds on once more, as hard as before. */
	strikeAgain() {
		for (const note of this.#notes.filter((one) => stateOf(one) <= 1)) {
			const { key, velocity, down } = note;
			this.#noteOn(key, velocity);
			if (!down) this.#noteOff(key);
		}
	}

	/**
	 * Fills both sides of a block.
	 * @param {Float32Array[]} out
	 */
	render(out) {
		const frames = out[0].length;
		out[0].fill(0);
		out[1].fill(0);
		for (let at = 0; at < frames; ) {
			while (this.#messages.length > 0 && this.#messages[0].frame <= this.#frame) {
				this.#latch.take(/** @type {{bytes: number[]}} */ (this.#messages.shift()).bytes);
			}
			const line = lineFrames - (this.#frame % lineFrames);
			const cut = this.#messages.length > 0 ? this.#messages[0].frame - this.#frame : line;
			const to = Math.min(at + Math.min(line, cut), frames);
			this.#stretch(out, at, to);
			this.#frame += to - at;
			at = to;
		}
		this.#ceiling.process(out, 0, frames);
		for (let i = 0; i < frames; i++) {
			this.#output.advance(1);
			out[0][i] *= this.#output.value;
			out[1][i] *= this.#output.value;
		}
	}

	/**
	 * A straight line of all notes.
	 * @param {Float32Array[]} out
	 * @param {number} from
	 * @param {number} to
	 */
	#stretch(out, from, to) {
		const count = to - from;
		const gains = this.#layerGains();
		const [volume, bend] = [this.#volume.value, 2 ** (this.#bend.value / 12)];
		for (const slow of [this.#dynamics, this.#volume, this.#bend]) slow.advance(count);
		const gainsTo = this.#layerGains();
		const [volumeTo, bendTo] = [this.#volume.value, 2 ** (this.#bend.value / 12)];
		for (const note of this.#notes) {
			const level = note.envelope.level * note.gain * volume;
			const levelTo = note.envelope.advance(count) * note.gain * volumeTo;
			for (const part of note.parts) {
				const gain = level * gains[part.layer] * part.share;
				part.gain = levelTo * gainsTo[part.layer] * part.share;
				const moved = (count * part.step * (bend + bendTo)) / 2;
				part.played += moved;
				if (gain === 0 && part.gain === 0) part.at = (part.at + moved) % part.row.frames;
				else {
					part.at = addFrames(out, from, to, part.sides, part.row.frames, part.at, part.step * bend,
						part.step * bendTo,
						gain, part.gain);
				}
			}
		}
		if (this.#notes.some(hasEnded)) this.#notes = this.#notes.filter((note) => !hasEnded(note));
	}

	/** The gain of each layer where the dynamics stand, in a straight line between two values of the controller. */
	#layerGains() {
		const at = Math.min(Math.max(127 * this.#dynamics.value, 0), 127);
		const below = Math.min(Math.floor(at), 126);
		return this.#gains.map((law) => law[below] + (law[below + 1] - law[below]) * (at - below));
	}

	/**
	 * The rows of the key map that sound at a key, at its next press.
	 * @param {number} key
	 */
	#rowsOf(key) {
		const press = this.#presses[key];
		return this.#map.files.filter((row) => row.low <= key && key <= row.high
			&& (press % row.press_of) + 1 === row.press);
	}

	/**
	 * The files that a key lacks; they are asked for.
	 * @param {number} key
	 */
	#lacks(key) {
		const lacking = this.#rowsOf(key).map((row) => row.file).filter((file) => !this.#sounds.has(file));
		for (const file of lacking) this.#ask(file);
		return lacking;
	}

	/**
	 * @param {number} key
	 * @param {number} velocity
	 */
	#noteOn(key, velocity) {
		if (this.#lacks(key).length > 0) {
			this.#waiting.push({ key, velocity, down: true });
			return;
		}
		const rows = this.#rowsOf(key);
		if (rows.length === 0) return;
		// A string that the sostenuto pedal keeps undamped stays so when it is struck again.
		const captured = this.#notes.some((note) => note.key === key && note.captured);
		this.#release((note) => note.key === key);
		this.#makeRoom(rows.length);
		const map = this.#map;
		this.#notes.push({
			key, velocity, began: this.#frame, gain: (velocity / 127) ** (2 * map.velocity_amount), down: true,
			captured,
			envelope: new Envelope(Math.floor(map.attack_sec * this.#rateHz),
				Math.floor(map.release_sec * this.#rateHz)),
			parts: rows.map((row) => ({
				row, index: map.files.indexOf(row), layer: map.layers.indexOf(row.layer), at: row.begin_frame,
				played: 0, gain: 0, sides: /** @type {Int16Array[]} */ (this.#sounds.get(row.file)),
				share: 10 ** (row.gain_db / 20),
				step: (2 ** ((key - row.root) / 12 + row.tune_cents / 1200) * row.rate_hz) / this.#rateHz,
			})),
		});
		this.#presses[key]++;
	}

	/** @param {number} key */
	#noteOff(key) {
		for (const note of this.#notes) if (note.key === key) note.down = false;
		for (const one of this.#waiting) if (one.key === key) one.down = false;
		this.#releaseLifted();
	}

	#releaseLifted() {
		this.#release((note) => !note.down && !note.captured && !this.#hold);
		this.#waiting = this.#waiting.filter((one) => one.down || this.#hold);
	}

	/** @param {(note: Note) => boolean} which */
	#release(which) {
		for (const note of this.#notes.filter(which)) {
			note.down = note.captured = false;
			note.envelope.release();
		}
	}

	/** @param {Note} note */
	#fade(note) {
		note.down = note.captured = false;
		note.envelope.fade(Math.floor(stealSec * this.#rateHz));
	}

	/**
	 * Fades notes until so many more cycles fit.
	 * @param {number} cycles
	 */
	#makeRoom(cycles) {
		for (;;) {
			const kept = this.#notes.filter((note) => note.envelope.stage !== "fade")
				.flatMap((note) => note.parts).length;
			const victim = this.#victim();
			if (!victim || kept + cycles <= this.#map.voices) return;
			this.#fade(victim);
			this.#stolen++;
		}
	}

	/**
	 * The note that is missed least: of those released the quietest; without one, of those that only a pedal holds the
	 * oldest; without one, the oldest that its key holds. Of a chord struck together the quietest is taken.
	 */
	#victim() {
		const level = (/** @type {Note} */ note) => note.envelope.level * note.gain;
		/** @type {Note | null} */
		let victim = null;
		for (const note of this.#notes) {
			const state = stateOf(note);
			if (state === 3) continue;
			if (!victim || state > stateOf(victim)) victim = note;
			else if (state === stateOf(victim) && (state === 2 ? level(note) < level(victim) :
				note.began < victim.began + chordSec * this.#rateHz && note.gain < victim.gain)) victim = note;
		}
		return victim;
	}

	/** @param {number[]} bytes */
	#apply([status, a, b]) {
		switch (status & 0xf0) {
			case 0x90:
				if (b > 0) this.#noteOn(a, b);
				else this.#noteOff(a);
				break;
			case 0x80:
				this.#noteOff(a);
				break;
			case 0xe0:
				this.#turnBend(a | (b << 7));
				break;
			case 0xb0:
				this.#turn(a, b);
		}
	}

	/** @param {number} value */
	#turnBend(value) {
		this.#bend.target = ((value - bendCentre) / bendCentre) * this.#map.bend_range_semitones;
	}

	/**
	 * @param {number} number of a controller
	 * @param {number} value
	 */
	#turn(number, value) {
		const { hold_pedal: hold, sostenuto_pedal: sostenuto, pedal_down_from: down } = this.#map;
		if (number === hold) {
			this.#hold = value >= down;
			this.#releaseLifted();
		} else if (number === sostenuto) this.#pressSostenuto(value >= down);
		else if (number === control.soundOff) {
			this.#waiting = [];
			for (const note of this.#notes) this.#fade(note);
		} else if (number === control.reset) this.#reset();
		else if (number >= control.notesOff) {
			for (const note of [...this.#notes, ...this.#waiting]) note.down = false;
			this.#releaseLifted();
		} else this.#set(number, value);
	}

	/**
	 * @param {number} number
	 * @param {number} value
	 */
	#set(number, value) {
		const { dynamics_controller: dynamics, dynamics_initial: initial, volume_controllers: volumes } = this.#map;
		const values = this.#values;
		values[number] = value;
		if (number === dynamics && number < fineOffset) values[number + fineOffset] = undefined;
		const fine = dynamics < fineOffset ? values[dynamics + fineOffset] : 0;
		this.#dynamics.target = dynamicsValue(values[dynamics] ?? initial, fine ?? 0);
		this.#volume.target = volumes.reduce((gain, one) => gain * ((values[one] ?? 127) / 127) ** 2, 1);
	}

	/** Controller 121, as MIDI RP-015 has it. */
	#reset() {
		this.#set(this.#map.dynamics_controller, 0);
		for (const number of this.#map.volume_controllers) if (number !== control.volume) this.#set(number, 127);
		this.#turnBend(bendCentre);
		this.#hold = false;
		this.#pressSostenuto(false);
	}

	/** @param {boolean} down */
	#pressSostenuto(down) {
		if (down !== this.#sostenuto || !down) {
			for (const note of this.#notes) note.captured = down && note.down;
			this.#releaseLifted();
		}
		this.#sostenuto = down;
	}

	/**
	 * What sounds now.
	 * @returns {PlayerTold}
	 */
	tell() {
		const volumes = this.#map.volume_controllers;
		return {
			frame: this.#frame, latch: this.#latch.on, hold: this.#hold, sostenuto: this.#sostenuto,
			dynamics: this.#dynamics.target, bend: this.#bend.target / (this.#map.bend_range_semitones || 1),
			volumeGain: this.#volume.target,
			volume: (volumes.length > 0 ? this.#values[volumes[0]] : undefined) ?? 127,
			outputDB: 20 * Math.log10(Math.max(this.#output.target, 1e-6)), ...this.#ceiling.takeFigures(),
			stolen: this.#stolen, waiting: this.#waiting.length,
			parts: this.#notes.flatMap((note) => note.parts.map((part) => ({
				key: note.key, layer: part.layer, state: stateOf(note), row: part.index, beganFrame: note.began,
				played: part.played / part.row.frames, begin: part.row.begin_frame / part.row.frames,
				step: part.step * 2 ** (this.#bend.value / 12), level: note.envelope.level, gain: part.gain,
			}))),
		};
	}
}

/** @param {Note} note */
function hasEnded(note) {
	return note.envelope.stage === "ended";
}

/**
 * What keeps a note sounding, as picture.js has it.
 * @param {Note} note
 */
function stateOf(note) {
	if (note.envelope.stage === "fade") return 3;
	if (note.envelope.stage === "release") return 2;
	return note.down ? 0 : 1;
}

/**
 * 0 to 1; a keyboard that sends the coarse value alone reaches 1 at 127.
 * @param {number} coarse
 * @param {number} fine
 */
function dynamicsValue(coarse, fine) {
	return Math.min(((coarse << 7) | fine) / (127 << 7), 1);
}
