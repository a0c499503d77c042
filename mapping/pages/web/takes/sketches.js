// Small pictures of takes: as high as the take is loud, and within, from low to high, where its sound lies. They are
// asked for when a row has stood in sight for a moment, drawn on a canvas, and kept.

import { element } from "../element.js";
import { onInks, readInks } from "../inks.js";

const restMS = 120; // rows that are only scrolled past are not asked for
const againMS = 1500; // when the player was too busy
const mostKept = 4096;

/** @typedef {{canvas: HTMLCanvasElement, of: string, timer: number, ends: AbortController}} Seen */
/**
 * @typedef {{columns: number, bands: number, level: Uint8Array, spectrum: Uint8Array}} Sketch as sketch.go writes it
 */

export class Sketches {
	/** @type {Map<string, Sketch | null>} null: there is nothing to draw */
	#kept = new Map();
	/** @type {Map<string, Seen>} rows in sight */
	#seen = new Map();
	#inks = readInks();

	constructor() {
		onInks(() => {
			this.#inks = readInks();
			for (const { canvas, of } of this.#seen.values()) this.#draw(canvas, this.#kept.get(of));
		});
	}

	/**
	 * @param {import("../types.js").RowTold} row that comes into sight; what was measured of its take tells whether it
	 *   is another one
	 * @returns {HTMLCanvasElement}
	 */
	enter({ name, sec, lufs, snr }) {
		const canvas = element("canvas", { class: "sketch", "aria-hidden": "true" });
		const one = { canvas, of: [name, sec, lufs, snr].join(), timer: 0, ends: new AbortController() };
		this.#seen.set(name, one);
		if (this.#kept.has(one.of)) one.timer = setTimeout(() => this.#draw(canvas, this.#kept.get(one.of)), 0);
		else one.timer = setTimeout(() => this.#ask(name, one), restMS);
		return canvas;
	}

	/** @param {string} name of a take whose row is out of sight */
	leave(name) {
		const one = this.#seen.get(name);
		if (!one) return;
		clearTimeout(one.timer);
		one.ends.abort();
		this.#seen.delete(name);
	}

	/**
	 * @param {string} name
	 * @param {Seen} one
	 */
	async #ask(name, one) {
		try {
			const answer = await fetch(`/sketch?take=${encodeURIComponent(name)}`, { signal: one.ends.signal });
			if (answer.status === 429 || answer.status === 503) {
				one.timer = setTimeout(() => this.#ask(name, one), againMS);
				return;
			}
			const sketch = answer.ok ? read(await answer.arrayBuffer()) : null;
			if (this.#kept.size >= mostKept) this.#kept.clear();
			this.#kept.set(one.of, sketch);
			this.#draw(one.canvas, sketch);
		} catch {
			// The row has gone, or the player has: the link tells that.
		}
	}

	/**
	 * @param {HTMLCanvasElement} canvas
	 * @param {Sketch | null | undefined} sketch
	 */
	#draw(canvas, sketch) {
		const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
		const g = canvas.getContext("2d");
		if (!g || wide === 0) return;
		const scale = Math.min(devicePixelRatio || 1, 2);
		canvas.width = Math.round(wide * scale);
		canvas.height = Math.round(high * scale);
		g.scale(scale, scale);
		g.fillStyle = this.#inks.edge;
		g.globalAlpha = 0.5;
		g.fillRect(0, high - 1, wide, 1);
		if (!sketch) return;
		// on whole pixels
		const edge = (/** @type {number} */ i) => Math.round((i * wide * scale) / sketch.columns) / scale;
		g.fillStyle = this.#inks.strands[0];
		for (let i = 0; i < sketch.columns; i++) {
			const tall = (sketch.level[i] / 255) * (high - 1);
			const cell = tall / sketch.bands;
			for (let band = 0; band < sketch.bands; band++) {
				g.globalAlpha = 0.14 + (0.86 * sketch.spectrum[i * sketch.bands + band]) / 255;
				g.fillRect(edge(i), high - 1 - (band + 1) * cell, edge(i + 1) - edge(i), cell);
			}
		}
	}
}

/**
 * @param {ArrayBuffer} buffer
 * @returns {Sketch | null}
 */
function read(buffer) {
	const bytes = new Uint8Array(buffer);
	const [columns, bands] = bytes;
	if (!columns || !bands || bytes.length !== 2 + columns * (1 + bands)) return null;
	return { columns, bands, level: bytes.subarray(2, 2 + columns), spectrum: bytes.subarray(2 + columns) };
}
