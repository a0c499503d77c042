// A list of as many rows as there are, of which only those in sight are made. Arrow keys walk through it.

import { element } from "./element.js";

const spare = 6; // rows beyond those in sight

/**
 * @template T
 * @typedef {{label: string, id: string, heightEm: number, name(item: T): string,
 *   make(item: T): {class: string, inside: Node[]}, drop?(name: string): void}} Kind how rows are named and made;
 *   heightEm is that of one; drop is told of rows out of sight
 */

/** @template T */
export class Rows {
	#host;
	#kind;
	#chose;
	#high = element("div", { class: "high", role: "presentation" });
	/** @type {T[]} */
	#items = [];
	#at = 0;
	#chosenName = "";
	#rowHeight = 0;
	/** @type {Map<number, HTMLElement>} */
	#made = new Map();

	/**
	 * @param {HTMLElement} host
	 * @param {Kind<T>} kind
	 * @param {(item: T | undefined) => void} chose
	 */
	constructor(host, kind, chose) {
		this.#host = host;
		this.#kind = kind;
		this.#chose = chose;
		const attributes = { role: "listbox", tabindex: "0", "aria-label": kind.label };
		for (const [name, value] of Object.entries(attributes)) host.setAttribute(name, value);
		host.append(this.#high);
		host.addEventListener("scroll", () => this.lay());
		new ResizeObserver(() => this.lay()).observe(host);
		host.addEventListener("keydown", (event) => {
			const inSight = Math.max(1, Math.floor(host.clientHeight / this.#rowHeight) - 1);
			const steps = { ArrowDown: 1, ArrowUp: -1, PageDown: inSight, PageUp: -inSight, Home: -this.#items.length,
				End: this.#items.length };
			const step = steps[/** @type {keyof typeof steps} */ (event.key)];
			if (step === undefined) return;
			event.preventDefault();
			this.choose(this.#at + step);
		});
		host.addEventListener("click", (event) => {
			const option = event.target instanceof Element ? event.target.closest("[data-at]") : null;
			if (option instanceof HTMLElement) this.choose(Number(option.dataset.at));
		});
	}

	/** @returns {T | undefined} */
	chosen() {
		return this.#items[this.#at];
	}

	/** @param {T[]} items */
	fill(items) {
		this.#items = items;
		this.#at = Math.max(0, items.findIndex((item) => this.#kind.name(item) === this.#chosenName));
		this.#chosenName = items.length > 0 ? this.#kind.name(items[this.#at]) : "";
		for (const at of [...this.#made.keys()]) this.#drop(at);
		this.lay();
	}

	/** @param {number} at */
	choose(at) {
		if (this.#items.length === 0) return;
		this.#at = Math.min(Math.max(at, 0), this.#items.length - 1);
		this.#chosenName = this.#kind.name(this.#items[this.#at]);
		const host = this.#host;
		const top = this.#at * this.#rowHeight;
		const bottom = top + this.#rowHeight;
		if (top < host.scrollTop) host.scrollTop = top;
		if (bottom > host.scrollTop + host.clientHeight) host.scrollTop = bottom - host.clientHeight;
		this.lay();
		this.#chose(this.chosen());
	}

	/** @param {number} at */
	#drop(at) {
		const one = this.#made.get(at);
		one?.remove();
		this.#made.delete(at);
		if (one?.dataset.name) this.#kind.drop?.(one.dataset.name);
	}

	/** Makes the rows in sight and drops the others. */
	lay() {
		const host = this.#host;
		if (host.clientHeight === 0) return;
		this.#rowHeight = Math.round(this.#kind.heightEm * Number.parseFloat(getComputedStyle(host).fontSize));
		this.#high.style.height = `${this.#items.length * this.#rowHeight}px`;
		const first = Math.max(0, Math.floor(host.scrollTop / this.#rowHeight) - spare);
		const inSight = Math.ceil((host.scrollTop + host.clientHeight) / this.#rowHeight);
		const last = Math.min(this.#items.length - 1, inSight + spare);
		for (const at of [...this.#made.keys()]) if (at < first || at > last) this.#drop(at);
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
		const item = this.#items[at];
		const made = this.#kind.make(item);
		return element("div", {
			id: `${this.#kind.id}-${at}`, role: "option", class: made.class, "data-at": at,
			"data-name": this.#kind.name(item), "aria-posinset": at + 1, "aria-setsize": this.#items.length,
		}, ...made.inside);
	}
}
