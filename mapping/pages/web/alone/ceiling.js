// The ceiling over the sum: it looks ahead, keeps true peaks at or under a level, and leaves alone what stays below.
// The gain that a peak needs is taken as a minimum over the look-ahead, let rise again, and averaged by two running
// means.

const ceilingDBTP = -1;
const attackSec = 0.0015;
const releaseSec = 0.2; // time constant
const unity = 2 ** 30; // gains are whole numbers, so that running means never drift

// Two of the four phases of the filter of ITU-R BS.1770-5, annex 2; the other two are these in reverse order.
const phases = [
	[0.001708984375, 0.010986328125, -0.0196533203125, 0.033203125, -0.0594482421875, 0.1373291015625, 0.97216796875,
		-0.1022949218750, 0.047607421875, -0.0266113281250, 0.014892578125, -0.00830078125],
	[-0.0291748046875, 0.029296875, -0.0517578125, 0.089111328125, -0.166503906250, 0.465087890625, 0.779785156250,
		-0.200317382812, 0.1015625, -0.058227539062, 0.0330810546875, -0.0189208984375],
];
const taps = 12;
const mostGain = 2.03; // of the filter: the sum of a phase's absolute values

/** The sum of the last values. */
class RunningSum {
	#values;
	#at = 0;
	#sum;

	/** @param {number} length @param {number} start */
	constructor(length, start) {
		this.length = length;
		this.#values = new Float64Array(length).fill(start);
		this.#sum = length * start;
	}

	/** @param {number} value */
	next(value) {
		this.#sum += value - this.#values[this.#at];
		this.#values[this.#at] = value;
		if (++this.#at === this.length) this.#at = 0;
		return this.#sum;
	}
}

/** The least of the last values; one of unity need not be kept. */
class Minimum {
	#length;
	/** @type {{value: number, time: number}[]} rising, the oldest first */
	#kept = [];
	#now = 0;

	/** @param {number} length */
	constructor(length) {
		this.#length = length;
	}

	/** @param {number} value */
	next(value) {
		this.#now++;
		if (this.#kept.length > 0 && this.#kept[0].time <= this.#now - this.#length) this.#kept.shift();
		if (value < unity) {
			while (this.#kept.length > 0 && this.#kept[this.#kept.length - 1].value >= value) this.#kept.pop();
			this.#kept.push({ value, time: this.#now });
		}
		return this.#kept.length > 0 ? this.#kept[0].value : unity;
	}
}

export class Ceiling {
	#level = 10 ** (ceilingDBTP / 20);
	#safe = this.#level / mostGain;
	#release;
	#held = unity;
	#needed;
	#means;
	#perfect;
	#busy = 0;
	#watch = 0; // frames until no loud sample is left in the filter
	#past;
	#at = 0;
	#mask;
	/** How many frames later than it came a frame leaves. */
	latency;
	/** The least gain since it was last asked for. */
	#least = 1;
	#peak = 0;

	/** @param {number} rateHz */
	constructor(rateHz) {
		const half = Math.max(1, Math.round((attackSec * rateHz) / 2));
		const hold = 2 * half + taps - 1;
		this.latency = hold - 1;
		this.#release = -Math.expm1(-1 / (releaseSec * rateHz));
		this.#needed = new Minimum(hold);
		this.#means = [new RunningSum(half, unity), new RunningSum(half + 1, half * unity)];
		this.#perfect = half * (half + 1) * unity;
		const room = 2 ** Math.ceil(Math.log2(this.latency + taps + 1));
		this.#mask = room - 1;
		this.#past = [new Float32Array(room), new Float32Array(room)];
	}

	/** The most that it has taken off since this was last asked, in dB, and the true peak that left it. */
	takeFigures() {
		const figures = { reductionDB: -20 * Math.log10(this.#least), peak: this.#peak };
		this.#least = 1;
		this.#peak = 0;
		return figures;
	}

	/**
	 * Replaces frames by those of latency frames earlier.
	 * @param {Float32Array[]} mix both sides
	 * @param {number} from
	 * @param {number} to
	 */
	process(mix, from, to) {
		const [left, right] = mix;
		const [pastLeft, pastRight] = this.#past;
		for (let i = from; i < to; i++) {
			const at = ++this.#at;
			pastLeft[at & this.#mask] = left[i];
			pastRight[at & this.#mask] = right[i];
			let peak = Math.max(Math.abs(left[i]), Math.abs(right[i]));
			if (peak > this.#safe) this.#watch = taps;
			let needed = unity;
			if (this.#watch > 0) {
				this.#watch--;
				peak = Math.max(peak, this.#between(pastLeft, at), this.#between(pastRight, at));
				if (peak > this.#level) needed = Math.floor((this.#level / peak) * unity);
			}
			const gain = needed < unity || this.#busy > 0 ? this.#nextGain(needed) : 1;
			if (gain < this.#least) this.#least = gain;
			left[i] = gain * pastLeft[(at - this.latency) & this.#mask];
			right[i] = gain * pastRight[(at - this.latency) & this.#mask];
			this.#peak = Math.max(this.#peak, Math.min(peak, this.#level));
		}
	}

	/**
	 * The highest level between the two frames in the middle of the last twelve.
	 * @param {Float32Array} past
	 * @param {number} at
	 */
	#between(past, at) {
		let peak = 0;
		for (const phase of phases) {
			let forth = 0;
			let back = 0;
			for (let k = 0; k < taps; k++) {
				forth += phase[k] * past[(at - k) & this.#mask];
				back += phase[k] * past[(at - taps + 1 + k) & this.#mask];
			}
			peak = Math.max(peak, Math.abs(forth), Math.abs(back));
		}
		return peak;
	}

	/** @param {number} needed */
	#nextGain(needed) {
		const rise = Math.max(Math.floor((unity - this.#held) * this.#release), unity / 2 ** 24);
		this.#held = Math.min(this.#needed.next(needed), this.#held + rise);
		this.#busy--;
		if (this.#held < unity) this.#busy = this.#means[0].length + this.#means[1].length;
		const sum = this.#means[1].next(this.#means[0].next(this.#held));
		return sum === this.#perfect ? 1 : sum / this.#perfect;
	}
}
