// The card of a take: its versions to be heard, what was measured, and the builder's cells.

import { element, write } from "../element.js";
import { decibels } from "../words.js";
import { parts } from "./choose.js";
import { versions } from "./takes.js";

/** What a cell is called on the card; others have the name of their column. */
const labels = /** @type {Record<string, string>} */ ({
	use: "Use", kind: "Kind", layer: "Layer", strand: "Strand", key: "Key", bed: "Bed", gain_db: "Gain, dB",
	favour_db: "Favour, dB", keep_partials: "Partials kept", title: "Title", contributor: "Contributor",
	credit: "Credit", consent: "Consent", terms: "Terms", remarks: "Remarks",
});

/** The columns in the order of the card: decisions first, words after. */
const wanted = ["use", "kind", "layer", "strand", "key", "gain_db", "favour_db", "keep_partials", "bed", "title",
	"contributor", "credit", "consent", "terms", "remarks"];

/**
 * @typedef {{edit(take: string, column: string, from: string, to: string): void,
 *   hear(version: typeof versions[number]["name"]): void}} Doings
 */

export class Card {
	#host;
	#doings;
	/** @type {import("../types.js").RowTold | undefined} */
	#row;
	#shown = "";
	/** @type {Map<string, HTMLButtonElement>} */
	#plays = new Map();
	#bed = element("select", { "aria-label": "The bed to hear it in" });
	#version = "";

	/**
	 * @param {HTMLElement} host
	 * @param {Doings} doings
	 */
	constructor(host, doings) {
		this.#host = host;
		this.#doings = doings;
	}

	/** @returns {string} the bed to hear a take in; empty for its first */
	bed() {
		return this.#bed.value;
	}

	/** @param {string} version */
	choose(version) {
		this.#version = version;
		for (const [name, button] of this.#plays) button.classList.toggle("wanted", name === version);
	}

	/** @param {string} version that plays now; empty for none */
	hearing(version) {
		for (const [name, button] of this.#plays) button.setAttribute("aria-pressed", String(name === version));
	}

	/**
	 * @param {import("../types.js").RowTold | undefined} row
	 * @param {import("../types.js").SheetTold} sheet
	 * @param {string[]} keyNames
	 */
	show(row, sheet, keyNames) {
		const shown = JSON.stringify(row ?? null);
		if (shown === this.#shown) return;
		const focused = this.#host.contains(document.activeElement)
			? document.activeElement?.getAttribute("data-column") : null;
		const same = row?.name === this.#row?.name;
		const bed = this.#bed.value;
		this.#shown = shown;
		this.#row = row;
		if (!row) {
			this.#host.replaceChildren(element("p", { class: "note" }, "No take is chosen."));
			return;
		}
		const { title, who } = parts(row, sheet);
		this.#plays.clear();
		const plays = versions.map(({ name, title, key }) => {
			const off = name !== "received" && row.beds.length === 0;
			const button = element("button",
				{ type: "button", "aria-pressed": "false", disabled: off, "aria-keyshortcuts": key }, title);
			button.addEventListener("click", () => this.#doings.hear(name));
			this.#plays.set(name, button);
			return button;
		});
		this.#bed.replaceChildren(...row.beds.map(({ bed, heardSec, moved, tuned }) => {
			const pitch = tuned ? `moved ${moved.toFixed(1)}` : "not tuned";
			return element("option", { value: bed }, `${bed.replace(/\.wav$/, "")}, ${pitch}, ${heardSec} s heard`);
		}));
		this.#bed.hidden = row.beds.length === 0;
		if (same && row.beds.some((one) => one.bed === bed)) this.#bed.value = bed;
		this.#host.replaceChildren(
			element("h3", {}, title), element("p", { class: "who" }, who || "nobody is named"),
			element("div", { class: "plays", role: "group", "aria-label": "Hear it, equally loud" }, ...plays),
			this.#bed, element("dl", { class: "measured" }, ...this.#measured(row, keyNames)),
			element("form", { class: "cells" }, ...wanted.filter((column) => sheet.columns.includes(column))
				.map((column) => this.#cell(row, column, sheet))));
		this.#host.querySelector("form")?.addEventListener("submit", (event) => event.preventDefault());
		this.choose(this.#version);
		if (focused) {
			const again = this.#host.querySelector(`[data-column="${focused}"]`);
			if (again instanceof HTMLElement) again.focus();
		}
	}

	/**
	 * @param {import("../types.js").RowTold} row
	 * @param {string[]} keyNames
	 */
	#measured(row, keyNames) {
		const line = (/** @type {string} */ name, /** @type {string} */ value) =>
			element("div", {}, element("dt", {}, name), element("dd", {}, value));
		const lines = [line("File", row.name)];
		if (row.hz !== null) {
			const pitch = 69 + 12 * Math.log2(row.hz / 440);
			const key = Math.round(pitch);
			const cents = Math.round(100 * (pitch - key));
			const sure = row.sureness === null ? "" : `, ${Math.round(100 * row.sureness)} % sure`;
			const off = `${cents < 0 ? "−" : "+"}${Math.abs(cents)} cents`;
			lines.push(line("Pitch", `${keyNames[key] ?? key} ${off}, ${row.hz.toFixed(1)} Hz${sure}`));
		}
		if (row.lufs !== null) lines.push(line("Loudness", `${row.lufs.toFixed(1).replace("-", "−")} LUFS`));
		if (row.snr !== null) lines.push(line("Above its noise", decibels(row.snr, 0)));
		if (row.sec !== null) lines.push(line("Length", `${row.sec.toFixed(1)} s`));
		lines.push(line("Heard", `${row.heardSec} s in ${row.beds.length} ${row.beds.length === 1 ? "bed" : "beds"}`));
		if (row.flags.length > 0) lines.push(line("Flags", row.flags.join(", ")));
		return lines;
	}

	/**
	 * @param {import("../types.js").RowTold} row
	 * @param {string} column
	 * @param {import("../types.js").SheetTold} sheet
	 */
	#cell(row, column, sheet) {
		const held = row.cells[sheet.columns.indexOf(column)] ?? "";
		const choices = sheet.choices[column];
		const suggested = { kind: row.kind, layer: row.layer, strand: row.strand }[column] ?? "";
		const measured = `as measured${suggested ? `: ${suggested}` : ""}`;
		const input = choices
			? element("select", { "data-column": column }, ...choices.map((one) =>
				element("option", { value: one, selected: one === held }, one || measured)))
			: element("input", { "data-column": column, type: "text", value: held, autocomplete: "off",
				placeholder: column === "key" ? "as measured" : "" });
		input.addEventListener("change", () => this.#doings.edit(row.name, column, held, input.value));
		input.addEventListener("keydown", (event) => {
			if (event instanceof KeyboardEvent && event.key === "Escape") {
				input.value = held;
				input.blur();
			}
		});
		const label = element("label", { class: `cell ${column}` }, element("span", {}), input);
		if (label.firstElementChild) write(label.firstElementChild, labels[column] ?? column);
		return label;
	}
}
