// A take's row in the list.

import { element, write } from "../element.js";

const mostHeardSec = 60; // a full line

/** @typedef {{row: import("../types.js").RowTold, parts: import("./choose.js").Parts}} Item */

/**
 * How takes are listed.
 * @param {import("./sketches.js").Sketches} sketches
 * @returns {import("../rows.js").Kind<Item>}
 */
export function takeRows(sketches) {
	return {
		label: "Takes: arrow keys walk, space plays, 1 to 4 choose the version", id: "take", heightEm: 3.1,
		name: ({ row }) => row.name,
		drop: (name) => sketches.leave(name),
		make({ row, parts }) {
			const heard = element("span", { class: "heard-sec" },
				row.heardSec > 0 ? `${Math.round(row.heardSec)} s heard` : parts.used ? "not heard" : "not used");
			const line = element("i", { class: "heard-line" });
			line.style.setProperty("--part", String(Math.min(1, row.heardSec / mostHeardSec)));
			const flags = element("span", { class: "flags" });
			write(flags, row.flags.join(", "));
			return { class: parts.used ? "take" : "take unused", inside: [sketches.enter(row),
				element("span", { class: "name" }, parts.title), element("span", { class: "who" }, parts.who),
				element("span", { class: "kind" }, row.kind), flags, heard, line] };
		},
	};
}
