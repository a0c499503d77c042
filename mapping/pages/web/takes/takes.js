// The view of the takes: a list to be heard, and what is decided on each.

import { element, say, write } from "../element.js";
import { Card } from "./card.js";
import { order, orders, parts, shows } from "./choose.js";
import { Rows } from "../rows.js";
import { takeRows } from "./row.js";
import { Sketches } from "./sketches.js";

/** @type {import("../views.js").View} */
export const takes = { name: "takes", title: "Takes", build };

/** The versions in which a take can be heard, and the keys that play them. */
export const versions = /** @type {const} */ ([
	{ name: "received", title: "As received", key: "1" },
	{ name: "made", title: "As made", key: "2" },
	{ name: "alone", title: "Alone in its bed", key: "3" },
	{ name: "bed", title: "With the others", key: "4" },
]);

/**
 * @param {string} label
 * @param {readonly {name: string, title: string}[]} options
 * @param {() => void} changed
 */
function choice(label, options, changed) {
	const select = element("select", { "aria-label": label },
		...options.map(({ name, title }) => element("option", { value: name }, title)));
	select.addEventListener("change", changed);
	return select;
}

/**
 * @param {HTMLElement} host
 * @param {import("../types.js").Link} link
 * @returns {import("../views.js").Built}
 */
function build(host, link) {
	/** @type {import("../types.js").SheetTold} */
	let sheet = { columns: [], choices: {}, takes: [] };
	/** @type {import("../types.js").RowTold[]} */
	let rows = [];
	/** @type {typeof versions[number]["name"]} */
	let version = "received";
	let keyNames = /** @type {string[]} */ ([]);

	const search = element("input",
		{ type: "search", placeholder: "Name, person, remark", "aria-label": "Find takes" });
	const shown = choice("Show", shows, arrange);
	const sorted = choice("In the order of", orders, arrange);
	const count = element("p", { class: "count-of", role: "status" });
	const undo = element("button", { type: "button", disabled: true }, "Take back");
	const problem = element("p", { class: "problem", role: "alert" });
	const listHost = element("div", { class: "list" });
	const cardHost = element("div", { class: "card" });
	host.append(element("h2", { class: "unseen" }, "Takes"),
		element("div", { class: "choose" }, search, element("label", {}, "Show ", shown),
			element("label", {}, "by ", sorted), count, undo), problem, listHost, cardHost);

	const sketches = new Sketches();
	const list = new Rows(listHost, takeRows(sketches), (item) => card.show(item?.row, sheet, keyNames));
	const card = new Card(cardHost, {
		edit: (take, column, from, to) => link.send({ do: "edit", take, column, from, to }),
		hear: (name) => hear(name),
	});

	/** Chooses and orders the rows anew. */
	function arrange() {
		const words = search.value.toLowerCase().split(/\s+/).filter(Boolean);
		const show = shows.find((one) => one.name === shown.value) ?? shows[0];
		rows = order(sheet.takes.filter((row) => show.fits(row, parts(row, sheet)) &&
			words.every((word) => parts(row, sheet).text.includes(word))), sorted.value, sheet);
		list.fill(rows.map((row) => ({ row, parts: parts(row, sheet) })));
		const all = sheet.takes.length;
		write(count, rows.length === all ? `${all} takes` : `${rows.length} of ${all} takes`);
		card.show(list.chosen()?.row, sheet, keyNames);
	}

	/** @param {typeof versions[number]["name"]} [name] */
	function hear(name) {
		const row = list.chosen()?.row;
		if (!row) return;
		version = name ?? version;
		card.choose(version);
		link.send({ do: "hear", take: row.name, version, bed: card.bed() });
	}

	search.addEventListener("input", arrange);
	undo.addEventListener("click", () => link.send({ do: "undo" }));
	listHost.addEventListener("keydown", (event) => {
		if (event.ctrlKey || event.metaKey || event.altKey) return;
		const by = versions.find((one) => one.key === event.key);
		if (event.key === " ") hear();
		else if (by) hear(by.name);
		else if (event.key === "Escape") link.send({ do: "music" });
		else return;
		event.preventDefault();
		event.stopPropagation(); // digits are keys of the keyboard elsewhere
	});

	link.on("map", (/** @type {import("../types.js").MapTold} */ map) => {
		keyNames = map.keyNames;
		arrange();
	});
	link.on("sheet", (/** @type {import("../types.js").SheetTold} */ told) => {
		sheet = told;
		write(problem, told.error ?? "");
		arrange();
	});
	link.on("edited", (/** @type {import("../types.js").EditedTold} */ told) => {
		write(problem, told.error ?? "");
		if (told.error) {
			arrange();
			return;
		}
		undo.disabled = false;
		say(`${told.undone ? "Taken back" : "Changed"}: ${told.column} of ${told.take}`);
	});
	link.on("hearing", (/** @type {{take: string, version: string, error?: string}} */ told) => {
		write(problem, told.error ?? "");
		card.hearing(told.error ? "" : told.version);
	});

	return {
		show: () => list.lay(),
		hide: () => link.send({ do: "music" }),
	};
}
