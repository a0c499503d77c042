// When a chord comes back: the stretches of time in which each of its cycles is again within a part of a turn of
// where it began. Nothing is sampled: stretches are intersected.

const horizonSec = 24 * 3600;
const mostReturnTurns = 2 ** 32;
const stillAway = 0.45; // of a turn: farther than that, nothing has left its beginning
const mostNearing = 40;

/** @typedef {{fromSec: number, bestSec: number, worstTurns: number}} Return */

/**
 * Every return within the horizon, in order.
 * @param {number[]} cycleSecs
 * @param {number} within turns
 * @returns {Generator<Return>}
 */
export function* returnsOf(cycleSecs, within) {
	const cycles = [...new Set(cycleSecs)].sort((a, b) => b - a).map((sec) => ({ sec, turn: 0 }));
	if (cycles.length === 0 || horizonSec / cycles[cycles.length - 1].sec > mostReturnTurns) return;
	const first = () => cycles.reduce((a, b) => ((b.turn + within) * b.sec < (a.turn + within) * a.sec ? b : a));
	for (;;) {
		const leaver = first();
		leaver.turn++;
		let nowSec = (leaver.turn - within) * leaver.sec;
		for (let i = 0, agreed = 0; agreed < cycles.length; i = (i + 1) % cycles.length) {
			if (nowSec > horizonSec) return;
			const cycle = cycles[i];
			// The division is only a guess: the products are what decides.
			cycle.turn = Math.ceil(nowSec / cycle.sec - within);
			while ((cycle.turn + within) * cycle.sec < nowSec) cycle.turn++;
			while ((cycle.turn - 1 + within) * cycle.sec >= nowSec) cycle.turn--;
			const fromSec = (cycle.turn - within) * cycle.sec;
			if (fromSec > nowSec) [nowSec, agreed] = [fromSec, 0];
			agreed++;
		}
		const leaves = first();
		const toSec = (leaves.turn + within) * leaves.sec;
		let [bestSec, worstTurns] = [cycles[0].turn * cycles[0].sec, 0];
		// The worst distance is least where one cycle's rising line crosses another's falling one.
		for (const early of cycles) {
			for (const late of cycles) {
				const turns = (late.turn * late.sec - early.turn * early.sec) / (early.sec + late.sec);
				if (early !== late && turns > worstTurns)
					[bestSec, worstTurns] = [(early.turn + turns) * early.sec, turns];
			}
		}
		bestSec = Math.min(Math.max(bestSec, nowSec), toSec);
		yield { fromSec: nowSec, bestSec, worstTurns: Math.min(worstTurns, within) };
	}
}

/**
 * What is told of a chord.
 * @param {number} beganFrame
 * @param {number[]} cycleSecs
 * @returns {import("../types.js").ReturnsTold}
 */
export function tellReturns(beganFrame, cycleSecs) {
	const returns = (cycleSecs.length === 0 ? [] : [0.05, 0.02, 0.01]).map((withinTurns) => {
		const first = returnsOf(cycleSecs, withinTurns).next();
		return { withinTurns, afterSec: first.done ? null : first.value.fromSec };
	});
	/** @type {import("../types.js").NearingTold[]} */
	const nearing = [];
	let nearest = Infinity;
	for (const back of returnsOf(cycleSecs, stillAway)) {
		if (back.worstTurns < nearest) {
			nearest = back.worstTurns;
			nearing.push({ sec: back.bestSec, worstTurns: nearest });
		}
		if (nearest < 0.01 || nearing.length === mostNearing) break;
	}
	return { beganFrame, cycles: cycleSecs.length, horizonSec, returns, nearing };
}
