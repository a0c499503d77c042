// The courses that sound: what the ring chart and its table show. Layers of a zone that run together are one course.

import { held } from "../picture.js";

/**
 * @typedef {{layer: number, gain: number, beds: import("../types.js").BedTold[]}} Share a layer of a course
 * @typedef {{id: string, key: number, zone: number, state: number, played: number, start: number, turnSec: number,
 *   level: number, zero: number, began: number, shares: Share[]}} Course zero is the place, in turns, at which the
 *   course stood as the chord began, began that at which its note did
 * @typedef {{key: number, courses: Course[]}} Group the courses of one key, together
 */

/**
 * Groups what sounds by key, upwards. Notes that only fade are left out where others sound on the same key.
 * @param {import("../picture.js").Picture} picture
 * @param {import("../types.js").MapTold} map
 * @returns {Group[]}
 */
export function groupCourses(picture, map) {
	/** @type {Map<string, Course>} */
	const courses = new Map();
	for (const c of picture.cycles) {
		const zone = c.map === map.number ? map.zones[c.zone] : undefined;
		if (c.state === held.fading) continue;
		const share = { layer: c.layer, gain: c.gain, beds: zone?.cycles[c.layer]?.beds ?? [] };
		const id = `${c.key} ${c.channel} ${c.zone} ${c.map} ${c.beganFrame} ${c.turnSec.toFixed(6)}`;
		const course = courses.get(id);
		if (course) {
			course.shares.push(share);
			continue;
		}
		const since = (picture.frame - picture.chordFrame) / picture.rateHz / c.turnSec;
		const place = c.start + c.played;
		courses.set(id, {
			id, key: c.key, zone: c.zone, state: c.state, played: c.played, start: c.start, turnSec: c.turnSec,
			level: c.level, zero: picture.chordFrame >= 0 ? place - since : c.start, began: c.start, shares: [share],
		});
	}
	/** @type {Map<number, Group>} */
	const groups = new Map();
	for (const course of courses.values()) {
		const group = groups.get(course.key) ?? { key: course.key, courses: [] };
		group.courses.push(course);
		groups.set(course.key, group);
	}
	for (const group of groups.values()) group.courses.sort((a, b) => a.zone - b.zone || a.began - b.began);
	return [...groups.values()].sort((a, b) => a.key - b.key);
}

/**
 * The gain of a course, all its layers together.
 * @param {Course} course
 */
export function gainOf(course) {
	return Math.hypot(...course.shares.map((share) => share.gain));
}

/**
 * The bed that leads at a place of a course, of the layer that sounds most.
 * @param {Course} course
 * @param {number} place in turns
 */
export function leading(course, place) {
	const share = course.shares.reduce((most, one) => (one.gain > most.gain ? one : most));
	const at = place - Math.floor(place);
	let best = 0;
	let inside = -Infinity;
	share.beds.forEach((bed, i) => {
		for (const turn of [-1, 0, 1]) {
			const deep = Math.min(at + turn - bed.from, bed.to - at - turn);
			if (deep > inside) [inside, best] = [deep, i];
		}
	});
	return best;
}
