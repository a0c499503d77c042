// Whose takes stand out now, among all that sounds: loud enough in some bands beside all others, and above the
// threshold.

import { bands, excitation, mover, partialSones, spreadOf, thresholds } from "./excitation.js";

const blockSec = 0.25; // of the courses
const noteDBSPL = 65; // how loud a note is listened to: its mean level
const heardBands = 4;
const mostPower = 0.9;
const masked = 10 ** (-6 / 10);

/**
 * @typedef {import("../types.js").BedHeard} BedHeard
 * @typedef {{beds: BedHeard[], sec: number, meanPower: number}} CycleHeard a cycle's beds, and a turn in their own
 *   time
 * @typedef {{zone: number, layer: number, key: number, turns: number, ratio: number, power: number}} Playing a cycle
 *   that sounds: turns is where it stands, ratio how much faster than its beds it is played
 * @typedef {{bed: number, sec: number, power: number}} Carrying a bed that sounds
 * @typedef {{held: import("../types.js").TakeHeld, own: Float64Array, spread: Float64Array, power: number,
 *   place: import("../types.js").PlaceTold}} Sounding a take that sounds
 */

export class StandOut {
	#told;
	#steps;
	/** @type {Map<string, CycleHeard>} by zone and layer */
	#cycles = new Map();

	/**
	 * @param {import("../types.js").HeardBeds} told
	 * @param {import("../types.js").MapTold} map
	 * @param {Uint8Array} steps of all courses
	 */
	constructor(told, map, steps) {
		this.#told = told;
		this.#steps = steps;
		const byPath = new Map(told.beds.map((bed) => [bed.path, bed]));
		map.zones.forEach((zone, z) => zone.cycles.forEach((cycle, layer) => {
			const beds = cycle.beds.map(({ path, from, to }) => ({
				...(byPath.get(path) ?? { takes: [], blocks: [], from: 0, path }), sec: (to - from) * cycle.sec,
			}));
			const one = { beds, sec: cycle.sec, meanPower: 0 };
			one.meanPower = this.#meanPower(one);
			this.#cycles.set(`${z} ${layer}`, one);
		}));
	}

	/**
	 * The one or two beds that sound at a place.
	 * @param {CycleHeard} cycle
	 * @param {number} turns
	 * @returns {Carrying[]}
	 */
	#at(cycle, turns) {
		const lap = this.#told.overlapSec;
		let at = (turns - Math.floor(turns)) * cycle.sec;
		let bed = 0;
		while (bed < cycle.beds.length - 1 && at >= cycle.beds[bed].sec - lap) at -= cycle.beds[bed++].sec - lap;
		const into = at - (cycle.beds[bed].sec - 2 * lap);
		if (into <= 0 || lap === 0) return [{ bed, sec: at + lap, power: 1 }];
		const over = Math.sin(((into / lap) * Math.PI) / 2) ** 2;
		return [{ bed, sec: at + lap, power: 1 - over },
			{ bed: (bed + 1) % cycle.beds.length, sec: into, power: over }];
	}

	/**
	 * @param {BedHeard} bed
	 * @param {number} take
	 * @param {number} block
	 */
	#course(bed, take, block) {
		if (block >= bed.blocks[take]) return null;
		let from = bed.from;
		for (let before = 0; before < take; before++) from += bands * bed.blocks[before];
		return excitation(this.#steps.subarray(from + bands * block, from + bands * (block + 1)));
	}

	/** @param {CycleHeard} cycle */
	#meanPower(cycle) {
		let sum = 0;
		let blocks = 0;
		for (let sec = 0; sec < cycle.sec; sec += blockSec, blocks++) {
			for (const { bed, sec: at, power } of this.#at(cycle, sec / cycle.sec)) {
				cycle.beds[bed].takes.forEach((_, take) => {
					const own = this.#course(cycle.beds[bed], take, Math.floor(at / blockSec));
					if (own) sum += power * sumOf(own);
				});
			}
		}
		return sum / Math.max(blocks, 1);
	}

	/**
	 * The takes that stand out of what plays, the loudest first.
	 * @param {Playing[]} playing
	 * @returns {import("../types.js").TakeTold[]}
	 */
	now(playing) {
		let meanPower = 0;
		const all = new Float64Array(bands);
		const ownOfAll = new Float64Array(bands);
		/** @type {Sounding[]} */
		const sounding = [];
		for (const one of playing) {
			const cycle = this.#cycles.get(`${one.zone} ${one.layer}`);
			if (!cycle || one.power === 0) continue;
			meanPower += one.power * cycle.meanPower;
			const move = mover(one.ratio);
			for (const { bed, sec, power } of this.#at(cycle, one.turns)) {
				cycle.beds[bed].takes.forEach((held, take) => {
					const course = power > 0 ? this.#course(cycle.beds[bed], take, Math.floor(sec / blockSec)) : null;
					if (!course) return;
					const own = move(course);
					const spread = spreadOf(own);
					const loud = one.power * power;
					for (let band = 0; band < bands; band++) {
						all[band] += loud * spread[band];
						ownOfAll[band] += loud * own[band];
					}
					sounding.push({ held, own, spread, power: loud,
						place: { key: one.key, zone: one.zone, layer: one.layer, bed } });
				});
			}
		}
		if (meanPower <= 0) return [];
		const toSPL = 10 ** (noteDBSPL / 10) / meanPower;
		/** @type {Map<string, import("../types.js").TakeTold>} */
		const heard = new Map();
		for (const { held, own, spread, power, place } of sounding) {
			const lack = lackOf(own, power, (band) =>
				Math.max(masked * (all[band] - power * spread[band]), thresholds[band] / toSPL));
			if (!(lack <= 1)) continue;
			const alone = own.map((p) => toSPL * power * p);
			const others = ownOfAll.map((p, band) => Math.max(toSPL * p - alone[band], 0));
			const take = heard.get(held.name) ?? { ...held, byDB: -Infinity, sones: 0, places: [] };
			heard.set(held.name, take);
			take.byDB = Math.max(take.byDB, -10 * Math.log10(lack));
			take.sones += partialSones(alone, others);
			take.places.push(place);
		}
		return [...heard.values()].sort((a, b) => b.sones - a.sones);
	}
}

/** @param {Float64Array} own */
function sumOf(own) {
	let sum = 0;
	for (const p of own) sum += p;
	return sum;
}

/**
 * What a take's power has to be multiplied by to be heard: in some bands of any, or in the fewer that hold most of it.
 * @param {Float64Array} own
 * @param {number} power
 * @param {(band: number) => number} needed
 */
function lackOf(own, power, needed) {
	const lacks = [];
	for (let band = 0; band < bands; band++) if (own[band] > 0) lacks.push(needed(band) / (power * own[band]));
	lacks.sort((a, b) => a - b);
	const any = lacks[heardBands - 1] ?? Infinity;
	const strongest = [...own.keys()].sort((a, b) => own[b] - own[a] || a - b).slice(0, heardBands - 1);
	const sum = sumOf(own);
	let [rest, main] = [sum, 0];
	while (main < strongest.length && rest > (1 - mostPower) * sum) rest -= own[strongest[main++]];
	if (sum === 0 || rest > (1 - mostPower) * sum) return any;
	return Math.min(any, Math.max(...strongest.slice(0, main).map((band) => needed(band) / (power * own[band]))));
}
