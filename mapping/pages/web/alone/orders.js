// What is ordered of the player across the threads, and what it answers.

import { Player } from "./player.js";

/**
 * @typedef {{map: import("../types.js").KeyMap, gains: number[][], output: number}} Start
 * @typedef {{midi?: number[], frame?: number, file?: string, sides?: Int16Array[], drop?: string, latch?: boolean,
 *   output?: number, strike?: boolean}} Order
 * @typedef {{ask?: string, dropped?: string, told?: import("./player.js").PlayerTold}} Answer
 */

const tellSec = 1 / 30;

/** A player under orders. */
export class Ordered {
	#player;
	#answer;
	#rateHz;
	#untold = 0; // frames

	/**
	 * @param {Start} start
	 * @param {number} rateHz
	 * @param {(answer: Answer) => void} answer
	 */
	constructor({ map, gains, output }, rateHz, answer) {
		this.#answer = answer;
		this.#rateHz = rateHz;
		this.#player = new Player(map, gains, rateHz, output, (ask) => answer({ ask }));
	}

	/** @param {Order} order */
	do({ midi, frame, file, sides, drop, latch, output, strike }) {
		if (midi) this.#player.take(midi, frame);
		if (file && sides) this.#player.give(file, sides);
		if (drop && this.#player.drop(drop)) this.#answer({ dropped: drop });
		if (latch !== undefined) this.#player.setLatch(latch);
		if (output !== undefined) this.#player.setOutput(output);
		if (strike) this.#player.strikeAgain();
	}

	/** @param {Float32Array[]} out both sides */
	render(out) {
		this.#player.render(out);
		this.#untold += out[0].length;
		if (this.#untold < tellSec * this.#rateHz) return;
		this.#untold = 0;
		this.#answer({ told: this.#player.tell() });
	}
}
