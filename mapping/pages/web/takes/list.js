// The list: as many rows as there are takes, of which only those in sight are made.

import { element, write } from "../element.js";

const spare = 6; // rows beyond those in sight
const mostHeardSec = 60; // a full line

/** @typedef {{row: import("../types.js").RowTold, parts: import("./choose.js").Parts}} Item */

export class List {
	#host;
	#chose;
	#high = element("div", { class: "high", role: "presentation" });
	/** @type {Item[]} */
	#items = [];
	#at = 0;
	#chosenName = "";
	#rowHeight = 0;
	/** @type {Map<number, HTMLElement>} */
	#made = new Map();

	/**
	 * @param {HTMLElement} host
	 * @param {(row: import("../types.js").RowTold | undefined) => void} chose
	 */
	constructor(host, chose) {
		this.#host = host;
		this.#chose = chose;
		for (const [name, value] of Object.entries({ role: "listbox", tabindex: "0", "aria-label": "Takes: arrow keys walk, space plays, 1 to 4 choose the version" }))
			host.setAttribute(name, value);
		host.append(this.#high);
		host.addEventListener("scroll", () => this.lay());
		new ResizeObserver(() => this.lay()).observe(host);
		host.addEventListener("keydown", (event) => {
			const inSight = Math.max(1, Math.floor(host.clientHeight / this.#rowHeight) - 1);
			const steps = { ArrowDown: 1, ArrowUp: -1, PageDown: inSight, PageUp: -inSight, Home: -this.#items.length, End: this.#items.length };
			const step = steps[/** @type {keyof typeof steps} */ (event.key)];
			if (step === undefined) return;
			event.preventDefault();
			this.#choose(this.#at + step);
		});
		host.addEventListener("click", (event) => {
			const option = event.target instanceof Element ? event.target.closest("[data-at]") : null;
			if (option instanceof HTMLElement) this.#choose(Number(option.dataset.at));
		});
	}

	/** @returns {import("../types.js").RowTold | undefined} */
	chosen() {
		return this.#items[this.#at]?.row;
	}

	/** @param {Item[]} items */
	fill(items) {
		this.#items = items;
		const found = items.findIndex(({ row }) => row.name === this.#chosenName);
		this.#at = Math.max(0, found);
		this.#chosenName = items[this.#at]?.row.name ?? "";
		for (const one of this.#made.values()) one.remove();
		this.#made.clear();
		this.lay();
	}

	/** @param {number} at */
	#choose(at) {
		if (this.#items.length === 0) return;
		this.#at = Math.min(Math.max(at, 0), this.#items.length - 1);
		this.#chosenName = this.#items[this.#at].row.name;
		const top = this.#at * this.#rowHeight;
		const host = this.#host;
		if (top < host.scrollTop) host.scrollTop = top;
		if (top + this.#rowHeight > host.scrollTop + host.clientHeight) host.scrollTop = top + this.#rowHeight - host.clientHeight;
		this.lay();
		this.#chose(this.chosen());
	}

	/** Makes the rows in sight and drops the others. */
	lay() {
		const host = this.#host;
		if (host.clientHeight === 0) return;
		this.#rowHeight = Math.round(3.1 * Number.parseFloat(getComputedStyle(host).fontSize));
		this.#high.style.height = `${this.#items.length * this.#rowHeight}px`;
		const first = Math.max(0, Math.floor(host.scrollTop / this.#rowHeight) - spare);
		const last = Math.min(this.#items.length - 1, Math.ceil((host.scrollTop + host.clientHeight) / this.#rowHeight) + spare);
		for (const [at, one] of this.#made) {
			if (at < first || at > last) {
				one.remove();
				this.#made.delete(at);
			}
		}
		for (let at = first; at <= last; at++) {
			let one = this.#made.get(at);
			if (!one) {
				one = this.#make(at);
				this.#made.set(at, one);
				this.#high.append(one);
			}
			one.style.transform = `translateY(${at * this.#rowHeight}px)`;
			one.style.height = `${this.#rowHeight}px`;
			one.setAttribute("aria-selected", String(at === this.#at));
		}
		const chosen = this.#made.get(this.#at);
		if (chosen) host.setAttribute("aria-activedescendant", chosen.id);
		else host.removeAttribute("aria-activedescendant");
	}

	/** @param {number} at */
	#make(at) {
		const { row, parts } = this.#items[at];
		const heard = element("span", { class: "heard-sec" }, row.heardSec > 0 ? `${Math.round(row.heardSec)} s heard` : parts.used ? "not heard" : "not used");
		const line = element("i", { class: "heard-line" });
		line.style.setProperty("--part", String(Math.min(1, row.heardSec / mostHeardSec)));
		const flags = element("span", { class: "flags" });
		write(flags, row.flags.join(", "));
		return element("div", {
			id: `take-${at}`, role: "option", class: parts.used ? "take" : "take unused", "data-at": at, "aria-posinset": at + 1,
			"aria-setsize": this.#items.length,
		}, element("span", { class: "name" }, parts.title), element("span", { class: "who" }, parts.who), element("span", { class: "kind" }, row.kind),
		flags, heard, line);
	}
}
