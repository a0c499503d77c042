// Which takes are shown, and in which order.

import { takeTitle } from "../words.js";

/** Below so many seconds in all its beds, a take is hardly heard: what check asks of one bed. */
const hardlySec = 3;
/** Below this, a pitch is not to be relied on. */
const sureEnough = 0.8;

/** @typedef {{title: string, who: string, used: boolean, text: string}} Parts what is read of a row */

/** @type {WeakMap<object, Parts>} */
const known = new WeakMap();

/**
 * @param {import("../types.js").RowTold} row
 * @param {import("../types.js").SheetTold} sheet
 * @returns {Parts}
 */
export function parts(row, sheet) {
	let found = known.get(row);
	if (!found) {
		const cell = (/** @type {string} */ column) => row.cells[sheet.columns.indexOf(column)] ?? "";
		const who = cell("contributor").replace(/^'/, "");
		found = {
			title: cell("title") || takeTitle(row.name), who, used: cell("use") !== "no",
			text: [row.name, ...row.cells, ...row.flags, row.kind].join("\n").toLowerCase(),
		};
		known.set(row, found);
	}
	return found;
}

/**
 * @type {readonly {name: string, title: string, fits(row: import("../types.js").RowTold, parts: Parts): boolean}[]}
 */
export const shows = [
	{ name: "all", title: "all", fits: () => true },
	{ name: "hardly", title: "hardly heard", fits: (row, { used }) => used && row.heardSec < hardlySec },
	{ name: "flagged", title: "flagged", fits: (row) => row.flags.length > 0 },
	{ name: "unsure", title: "unsure of pitch",
		fits: (row) => row.kind !== "noisy" && (row.sureness ?? 0) < sureEnough },
	{ name: "nowhere", title: "in no bed", fits: (row) => row.beds.length === 0 },
	{ name: "unused", title: "not used", fits: (_, { used }) => !used },
];

/** @type {readonly {name: string, title: string}[]} */
export const orders = [
	{ name: "sheet", title: "the sheet" },
	{ name: "title", title: "title" },
	{ name: "who", title: "person" },
	{ name: "heard", title: "seconds heard" },
	{ name: "lufs", title: "loudness" },
	{ name: "hz", title: "pitch" },
	{ name: "sec", title: "length" },
	{ name: "kind", title: "kind" },
];

/**
 * @param {import("../types.js").RowTold[]} rows
 * @param {string} by
 * @param {import("../types.js").SheetTold} sheet
 */
export function order(rows, by, sheet) {
	const last = Number.POSITIVE_INFINITY;
	/** @type {Record<string, (row: import("../types.js").RowTold) => number | string>} */
	const values = {
		title: (row) => parts(row, sheet).title.toLowerCase(), who: (row) => parts(row, sheet).who.toLowerCase(),
		heard: (row) => row.heardSec, lufs: (row) => -(row.lufs ?? -last), hz: (row) => row.hz ?? last,
		sec: (row) => row.sec ?? last, kind: (row) => row.kind,
	};
	const value = values[by];
	if (!value) return rows;
	return [...rows].sort((a, b) => {
		const [x, y] = [value(a), value(b)];
		return typeof x === "string" ? x.localeCompare(String(y)) : x - Number(y) || 0;
	});
}
