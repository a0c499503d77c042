// What a finding is and where: how grave, how far beyond its limit, over which keys.

import { takeTitle } from "../words.js";

/**
 * @typedef {import("../types.js").FindingTold} FindingTold
 * @typedef {"fails" | "warns" | "waived"} Grave
 * @typedef {{finding: FindingTold, part: import("../types.js").PartTold, number: number, grave: Grave, times: number,
 *   keys: number[], span: [number, number] | null, at: number | null,
 *   beside: [number, number]}} Found number is that in its check, from
 *   1 on; times is how many times beyond its limit; keys and span are where it is, at is where its mark stands;
 *   null: no key tells where; beside is which of how many findings at that place it is
 */

const graves = ["fails", "warns", "waived"];
const most = 999; // the figure of what has no bound
const little = 1e-9;

/**
 * All findings, the gravest first; waived ones come last.
 * @param {import("../types.js").PartTold[]} parts
 * @param {import("../types.js").MapTold} map
 * @returns {Found[]}
 */
export function allFound(parts, map) {
	const all = parts.flatMap((part) => part.findings.map((finding, i) => found(finding, part, i + 1, map)));
	standBeside(all);
	return all.sort((a, b) => graves.indexOf(a.grave) - graves.indexOf(b.grave) ||
		parts.indexOf(a.part) - parts.indexOf(b.part) || a.number - b.number);
}

/**
 * @param {FindingTold} finding
 * @param {import("../types.js").PartTold} part
 * @param {number} number
 * @param {import("../types.js").MapTold} map
 * @returns {Found}
 */
function found(finding, part, number, map) {
	const { figure, limit, verdict, place } = finding;
	const ratio = (Math.abs(figure) + little) / (Math.abs(limit) + little);
	const times = Math.min(most, Math.max(ratio, 1 / ratio));
	const keys = place.keys ?? [];
	const zone = place.bed ? zoneOf(place.bed, map) : undefined;
	/** @type {[number, number] | null} */
	let span = null;
	let at = null;
	if (zone) {
		span = [zone.low, zone.high];
		at = (zone.low + zone.high) / 2;
	} else if (keys.length > 0) {
		const [low, high] = [Math.min(...keys), Math.max(...keys)];
		if (keys.length > 1) span = [low, high];
		at = /:k\d+-k\d+/.test(finding.id) ? keys[0] : (low + high) / 2; // of many keys the worst speaks for all
	}
	return { finding, part, number, grave: finding.waived ? "waived" : verdict === "fails" ? "fails" : "warns", times,
		keys: zone ? [] : keys, span, at, beside: [0, 1] };
}

/**
 * The zone of a bed, or of the first of several.
 * @param {string} bed
 * @param {import("../types.js").MapTold} map
 */
function zoneOf(bed, map) {
	return map.zones.find((zone) => zone.cycles.some((cycle) => cycle.beds.some(({ path }) => bed.includes(path))));
}

/**
 * Lets the marks of findings that have one place in one check stand side by side.
 * @param {Found[]} all
 */
function standBeside(all) {
	/** @type {Map<string, Found[]>} */
	const same = new Map();
	for (const one of all) {
		const key = `${one.part.name} ${one.at}`;
		same.set(key, [...(same.get(key) ?? []), one]);
	}
	for (const together of same.values()) {
		together.forEach((one, i) => {
			one.beside = [i, together.length];
		});
	}
}

/**
 * A finding's figure or limit as it is read.
 * @param {number} value
 * @param {string} unit
 */
export function amount(value, unit) {
	if (Math.abs(value) >= most) return value < 0 ? "none" : "no bound";
	const text = String(Number(value.toPrecision(Math.abs(value) < 1 ? 2 : 3))).replace("-", "−");
	return unit === "°" ? text + unit : `${text} ${unit}`.trim();
}

/**
 * A sentence in which beds and takes are called as on the rest of the page.
 * @param {string} text
 * @param {Map<string, string>} titles of takes, by their names
 */
export function plainWords(text, titles) {
	return text.replace(/\bbeds\/(\S+?)\.wav/g, "$1").replace(/(?<![\w/])(?:[^\s/(]+\/)+[^\s,;()]+\.[a-z0-9]{2,4}\b/gi,
		(name) => `“${titles.get(name) ?? takeTitle(name)}”`)
		.replace(/([a-z]+-[a-z]+-k\d{3})\.wav/g, "$1").replace(/\b([A-G])#(?=-?\d)/g, "$1♯");
}

/**
 * Where a finding is, in words.
 * @param {Found} one
 * @param {string[]} keyNames
 */
export function placeWords(one, keyNames) {
	const { place } = one.finding;
	const words = [];
	if (place.bed) words.push(place.bed.replace(/beds\/|\.wav/g, ""));
	const names = one.keys.map((key) => keyNames[key] ?? String(key));
	if (place.chord) words.push(place.chord);
	if (names.length > 4) {
		const [low, high] = [Math.min(...one.keys), Math.max(...one.keys)];
		words.push(`${names.length} keys from ${keyNames[low]} to ${keyNames[high]}`);
	} else if (names.length > 0) words.push(names.join(" "));
	if (place.dynamics !== undefined) words.push(`dynamics ${place.dynamics}`);
	if (place.at_sec) words.push(`second ${place.at_sec.toFixed(1)}`);
	return words.join(", ") || "everywhere";
}
