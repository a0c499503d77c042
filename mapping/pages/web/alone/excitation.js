// What sounds excite in the ear: bands of half an ERB, their spread, the threshold in quiet, loudness within others.
// The same model as the builder's program has it, which names its sources.

export const bands = 80;
const perERB = 2;
const firstERB = 1;
const upward = 10 ** (-12 / perERB / 10); // what a band excites in the next one
const downward = 10 ** (-27 / perERB / 10);
const stepDB = 0.5;
const lowestDB = -120.5; // of step 0, which is silence
const compression = 0.2;
const thresholdPower = 2.31;
const maskedRatio = 0.5;

/** @param {number} hz */
const erbNumber = (hz) => 21.4 * Math.log10(1 + 0.00437 * hz);
/** @param {number} band */
const bandHz = (band) => (10 ** ((firstERB + (band + 0.5) / perERB) / 21.4) - 1) / 0.00437;

const powerOf = (/** @type {number} */ step) => (step === 0 ? 0 : 10 ** ((lowestDB + stepDB * step) / 10));
const stepPowers = Float64Array.from({ length: 256 }, (_, step) => powerOf(step));

/** The thresholds in quiet as powers, 1 being 0 dB SPL. */
export const thresholds = Float64Array.from({ length: bands }, (_, band) => {
	const kHz = bandHz(band) / 1000;
	return 10 ** ((3.64 * kHz ** -0.8 - 6.5 * Math.exp(-0.6 * (kHz - 3.3) ** 2) + 0.001 * kHz ** 4) / 10);
});

/**
 * The excitation of a block of a course.
 * @param {Uint8Array} steps
 */
export function excitation(steps) {
	return Float64Array.from(steps, (step) => stepPowers[step]);
}

/**
 * What a sound excites in all bands, its own among them.
 * @param {Float64Array} own
 */
export function spreadOf(own) {
	const spread = new Float64Array(bands);
	for (let band = 0, carried = 0; band < bands; band++) spread[band] = carried = carried * upward + own[band];
	for (let band = bands - 1, carried = 0; band >= 0; band--) {
		spread[band] += carried;
		carried = (carried + own[band]) * downward;
	}
	return spread;
}

/**
 * Moves excitations as a ratio of speeds does. The power of a band counts as spread evenly over it.
 * @param {number} ratio
 * @returns {(own: Float64Array) => Float64Array}
 */
export function mover(ratio) {
	const place = (/** @type {number} */ edge) => (erbNumber(ratio * bandHz(edge - 0.5)) - firstERB) * perERB;
	const edges = Float64Array.from({ length: bands + 1 }, (_, edge) => place(edge));
	return (own) => {
		const moved = new Float64Array(bands);
		for (let i = 0; i < bands; i++) {
			if (own[i] === 0) continue;
			const [from, to] = [edges[i], edges[i + 1]];
			for (let band = Math.max(Math.floor(from), 0); band < Math.min(Math.ceil(to), bands); band++) {
				moved[band] += (own[i] * (Math.min(to, band + 1) - Math.max(from, band))) / (to - from);
			}
		}
		return moved;
	};
}

/** @param {number} e */
const power = (e) => (e + 2 * thresholdPower) ** compression;

/**
 * The specific loudness of a signal's excitation within a masker's.
 * @param {number} signal
 * @param {number} masker
 */
function specific(signal, masker) {
	const threshold = maskedRatio * masker + thresholdPower;
	const atThreshold = power(thresholdPower) - power(0);
	const lifted = power(masker * (1 + maskedRatio) + thresholdPower);
	if (signal >= threshold) {
		return power(signal + masker) - power(0) - (lifted - power(0) - atThreshold) * (threshold / signal) ** 0.3;
	}
	return (((2 * signal) / (signal + threshold)) ** 1.5 * atThreshold / (lifted - power(masker))) *
		(power(signal + masker) - power(masker));
}

/**
 * @param {Float64Array} signal powers, 1 being 0 dB SPL
 * @param {Float64Array} masker
 */
function partial(signal, masker) {
	const [s, m] = [spreadOf(signal), spreadOf(masker)];
	let sum = 0;
	for (let band = 0; band < bands; band++) {
		const toModel = thresholdPower / thresholds[band];
		if (s[band] > 0) sum += specific(s[band] * toModel, m[band] * toModel) / perERB;
	}
	return sum;
}

const tone = new Float64Array(bands);
tone[Math.floor((erbNumber(1000) - firstERB) * perERB)] = 1e4;
const sonesPerERB = 1 / partial(tone, new Float64Array(bands)); // a tone of 1 kHz and 40 dB SPL has 1 sone

/**
 * How loud a signal is within a masker, in sones.
 * @param {Float64Array} signal
 * @param {Float64Array} masker
 */
export function partialSones(signal, masker) {
	return sonesPerERB * partial(signal, masker);
}
