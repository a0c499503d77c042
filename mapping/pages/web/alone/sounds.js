// The sounds of the instrument: scripts that hold a FLAC file each, fetched when they are needed, those of struck keys
// first, and decoded by the browser. A script is what a page that was opened by a double click may fetch beside it.

import { guardFrames } from "./kernel.js";
import { fetchText } from "./scripts.js";

const mostBytes = 320e6; // of decoded sounds that are kept
const mostBytesSmall = 120e6; // on a device with little memory
const littleMemoryGB = 2;

/** @typedef {import("../types.js").KeyRow} KeyRow */

export class Sounds {
	/** @type {Map<string, KeyRow>} by file */
	#rows = new Map();
	/** @type {string[]} files to be fetched, the most urgent first */
	#queue;
	/** @type {Set<string>} files that are kept, the longest unused first */
	#kept = new Set();
	#bytes = 0;
	#most = /** @type {any} */ (navigator).deviceMemory <= littleMemoryGB ? mostBytesSmall : mostBytes;
	#busy = false;
	#give;
	#drop;
	#tell;

	/**
	 * @param {KeyRow[]} rows
	 * @param {(file: string, sides: Int16Array[]) => void} give takes a decoded cycle
	 * @param {(file: string) => void} drop asks for a cycle to be let go
	 * @param {(read: number, of: number, failed?: string) => void} tell
	 */
	constructor(rows, give, drop, tell) {
		for (const row of rows) this.#rows.set(row.file, row);
		this.#give = give;
		this.#drop = drop;
		this.#tell = tell;
		const fromMiddle = (/** @type {KeyRow} */ row) => Math.abs((row.low + row.high) / 2 - 62);
		this.#queue = [...rows].sort((a, b) => fromMiddle(a) - fromMiddle(b)).map((row) => row.file);
		this.#queue = [...new Set(this.#queue)];
	}

	/** Begins to fetch all that there is room for. */
	begin() {
		this.#next();
	}

	/**
	 * Puts a file before all others.
	 * @param {string} file
	 */
	ask(file) {
		if (this.#kept.has(file)) return;
		this.#queue = [file, ...this.#queue.filter((one) => one !== file)];
		this.#makeRoom(file);
		this.#next();
	}

	/** @param {string} file */
	dropped(file) {
		if (!this.#kept.delete(file)) return;
		this.#bytes -= this.#size(file);
		this.#next();
	}

	/** @param {string} file */
	#size(file) {
		const row = /** @type {KeyRow} */ (this.#rows.get(file));
		return 2 * row.channels * (row.frames + 2 * guardFrames);
	}

	/** @param {string} file */
	#makeRoom(file) {
		let over = this.#bytes + this.#size(file) - this.#most;
		for (const old of this.#kept) {
			if (over <= 0) return;
			over -= this.#size(old);
			this.#drop(old);
		}
	}

	async #next() {
		const file = this.#queue[0];
		if (this.#busy || file === undefined) return;
		if (this.#kept.size > 0 && this.#bytes + this.#size(file) > this.#most) return;
		this.#busy = true;
		this.#queue.shift();
		try {
			const sides = await readSound(/** @type {KeyRow} */ (this.#rows.get(file)));
			this.#kept.add(file);
			this.#bytes += this.#size(file);
			this.#give(file, sides);
			this.#tell(this.#kept.size, this.#rows.size);
		} catch (error) {
			this.#tell(this.#kept.size, this.#rows.size, `${file}: ${/** @type {Error} */ (error).message}`);
		}
		this.#busy = false;
		this.#next();
	}
}

/**
 * Reads the sides of a cycle, with guards at both ends.
 * @param {KeyRow} row
 */
export async function readSound(row) {
	const bytes = fromBase64(await fetchText(row.file));
	const decoded = await new OfflineAudioContext(row.channels, 1, row.rate_hz).decodeAudioData(bytes);
	if (decoded.length !== row.frames || decoded.sampleRate !== row.rate_hz) {
		throw new Error(`the browser reads ${decoded.length} frames at ${decoded.sampleRate} Hz, ` +
			`expected ${row.frames} at ${row.rate_hz}`);
	}
	const sides = [];
	for (let side = 0; side < decoded.numberOfChannels; side++) sides.push(guarded(decoded.getChannelData(side)));
	return sides.length === 1 ? [sides[0], sides[0]] : sides;
}

/** @param {Float32Array} cycle */
function guarded(cycle) {
	const frames = cycle.length;
	const side = new Int16Array(frames + 2 * guardFrames);
	for (let i = 0; i < frames; i++) {
		side[guardFrames + i] = Math.min(Math.max(Math.round(32768 * cycle[i]), -32768), 32767);
	}
	for (let i = 0; i < guardFrames; i++) {
		side[i] = side[guardFrames + ((((i - guardFrames) % frames) + frames) % frames)];
		side[guardFrames + frames + i] = side[guardFrames + (i % frames)];
	}
	return side;
}

/** @param {string} text */
export function fromBase64(text) {
	const binary = atob(text);
	const bytes = new Uint8Array(binary.length);
	for (let i = 0; i < binary.length; i++) bytes[i] = binary.charCodeAt(i);
	return bytes.buffer;
}
