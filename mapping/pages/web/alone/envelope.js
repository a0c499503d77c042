// Levels that move: that of a note, and values that follow a controller without a step.

const silentLevel = 1e-6; // ends a release: −120 dB
const settled = 1e-6;

/** @param {number} part 0 to 1 */
function raisedCosine(part) {
	return 0.5 - 0.5 * Math.cos(Math.PI * part);
}

/** @typedef {"attack" | "held" | "release" | "fade" | "ended"} Stage */

/** The level of a note: attack, hold, release, and the short fade by which it makes room. */
export class Envelope {
	/** @type {Stage} */
	stage = "attack";
	level = 0;
	#attackFrames;
	#releaseFrames;
	#fadeFrames = 0;
	#at = 0;
	#from = 0;

	/**
	 * @param {number} attackFrames from silence to full level, along a raised cosine
	 * @param {number} releaseFrames in which it falls by 60 dB
	 */
	constructor(attackFrames, releaseFrames) {
		this.#attackFrames = attackFrames;
		this.#releaseFrames = releaseFrames;
	}

	/** @param {Stage} stage */
	#begin(stage) {
		[this.stage, this.#at, this.#from] = [stage, 0, this.level];
	}

	release() {
		if (this.stage === "attack" || this.stage === "held") this.#begin("release");
	}

	/** @param {number} frames */
	fade(frames) {
		if (this.stage === "ended" || this.stage === "fade") return;
		this.#fadeFrames = Math.max(frames, 1);
		this.#begin("fade");
	}

	/**
	 * Moves on and returns the level there.
	 * @param {number} frames
	 */
	advance(frames) {
		this.#at += frames;
		if (this.stage === "attack") {
			if (this.#at >= this.#attackFrames) [this.stage, this.level] = ["held", 1];
			else this.level = raisedCosine(this.#at / this.#attackFrames);
		} else if (this.stage === "release") {
			this.level = this.#from * 10 ** ((-3 * this.#at) / Math.max(this.#releaseFrames, 1));
			if (this.level < silentLevel) [this.stage, this.level] = ["ended", 0];
		} else if (this.stage === "fade") {
			if (this.#at >= this.#fadeFrames) [this.stage, this.level] = ["ended", 0];
			else this.level = this.#from * raisedCosine(1 - this.#at / this.#fadeFrames);
		}
		return this.level;
	}
}

/** A value that follows its target through two equal one-pole low-passes in a row, each with half of a time. */
export class Slow {
	target;
	value;
	#middle;
	#timeFrames;

	/**
	 * @param {number} timeFrames
	 * @param {number} value
	 */
	constructor(timeFrames, value) {
		this.#timeFrames = timeFrames;
		this.target = this.value = this.#middle = value;
	}

	/** @param {number} frames */
	advance(frames) {
		if (this.value === this.target && this.#middle === this.target) return;
		const keep = Math.exp((-2 * frames) / this.#timeFrames);
		this.#middle = this.target + (this.#middle - this.target) * keep;
		this.value = this.#middle + (this.value - this.#middle) * keep;
		if (Math.abs(this.value - this.target) < settled && Math.abs(this.#middle - this.target) < settled) {
			this.value = this.#middle = this.target;
		}
	}
}
