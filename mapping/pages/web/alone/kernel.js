// Frames between those of a recording: a sinc under a window of Kaiser (Kaiser 1974, I0-sinh; the constants are common
// practice). What is played faster than a little is freed of what would fold, as the player has it.

const plainTaps = 24;
const phases = 512;
const beta = 7; // images under −70 dB up to 0.41 of the recording's rate
const plainStep = 1.18; // up to here nothing folds to below 0.41 of the rate
const tablesPerOctave = 6;
const mostTaps = 256;

/** How many frames lie beyond each end of a cycle, so that no tap has to turn round. */
export const guardFrames = mostTaps / 2;

/**
 * @typedef {{taps: number, coefficients: Float64Array, slopes: Float64Array}} Table rows of taps, one for each phase
 */

/** @type {Map<number, Table>} */
const tables = new Map();

/**
 * The table for a step, in frames of the recording for each frame of output.
 * @param {number} step
 * @returns {Table}
 */
export function tableFor(step) {
	const n = step <= plainStep ? 0 : Math.ceil(Math.log2(step / plainStep) * tablesPerOctave);
	let table = tables.get(n);
	if (!table) {
		table = makeTable(n === 0 ? 1 : plainStep * 2 ** (n / tablesPerOctave));
		tables.set(n, table);
	}
	return table;
}

/** @param {number} scale */
function makeTable(scale) {
	const taps = Math.min(8 * Math.ceil((plainTaps * scale) / 8), mostTaps);
	const rows = new Float64Array((phases + 1) * taps);
	for (let phase = 0; phase <= phases; phase++) {
		let sum = 0;
		for (let tap = 0; tap < taps; tap++) {
			const x = tap - (taps / 2 - 1) - phase / phases;
			const here = (x === 0 ? 1 : Math.sin((Math.PI * x) / scale) / ((Math.PI * x) / scale))
				* kaiser(x / (taps / 2));
			rows[phase * taps + tap] = here;
			sum += here;
		}
		for (let tap = 0; tap < taps; tap++) rows[phase * taps + tap] /= sum;
	}
	const coefficients = rows.slice(0, phases * taps);
	return { taps, coefficients, slopes: coefficients.map((_, i) => rows[i + taps] - rows[i]) };
}

/** @param {number} x −1 to 1 */
function kaiser(x) {
	return Math.abs(x) >= 1 ? 0 : bessel(beta * Math.sqrt(1 - x * x)) / bessel(beta);
}

/**
 * The modified Bessel function of order 0, by its series.
 * @param {number} x
 */
function bessel(x) {
	let sum = 1;
	for (let k = 1, part = 1; part > 1e-12 * sum; k++) {
		part *= (x / (2 * k)) ** 2;
		sum += part;
	}
	return sum;
}

/**
 * Adds frames of a cycle to a mix. Step and gain run in straight lines.
 * @param {Float32Array[]} mix both sides
 * @param {number} from
 * @param {number} to
 * @param {Int16Array[]} sides of the cycle, with guards at both ends
 * @param {number} frames of the cycle
 * @param {number} at where it stands
 * @param {number} step
 * @param {number} stepTo
 * @param {number} gain
 * @param {number} gainTo
 * @returns {number} where it stands then
 */
export function addFrames(mix, from, to, sides, frames, at, step, stepTo, gain, gainTo) {
	const count = to - from;
	const stepMore = (stepTo - step) / count;
	const gainMore = (gainTo - gain) / count / 32768;
	gain /= 32768;
	const { taps, coefficients, slopes } = tableFor(Math.max(step, stepTo));
	const [left, right] = sides;
	const [mixLeft, mixRight] = mix;
	const before = guardFrames - (taps / 2 - 1);
	for (let i = from; i < to; i++) {
		const whole = Math.floor(at);
		const place = (at - whole) * phases;
		const row = Math.floor(place);
		const part = place - row;
		let k = row * taps;
		let sumLeft = 0;
		let sumRight = 0;
		for (let j = whole + before, end = j + taps; j < end; j += 2, k += 2) { // two at a time are faster
			const weight = coefficients[k] + part * slopes[k];
			const next = coefficients[k + 1] + part * slopes[k + 1];
			sumLeft += weight * left[j] + next * left[j + 1];
			sumRight += weight * right[j] + next * right[j + 1];
		}
		mixLeft[i] += gain * sumLeft;
		mixRight[i] += gain * sumRight;
		gain += gainMore;
		at += step;
		step += stepMore;
		if (at >= frames) at %= frames;
	}
	return at;
}
