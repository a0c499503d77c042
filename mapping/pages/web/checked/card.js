// The card of a finding: what it is, how far beyond its limit, what cures it, and how it sounds.

import { drawn, element } from "../element.js";
import { takeTitle } from "../words.js";
import { Curves } from "./curves.js";
import { amount, placeWords, plainWords } from "./place.js";
import { sign } from "./sign.js";

/** @param {string} text */
function sentence(text) {
	return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}

/**
 * @typedef {{name: string, title: string, about: string}} Way to hear a finding; name is "play", or a version of its
 *   take
 */

/**
 * The ways to hear a finding, the plainest first.
 * @param {import("./place.js").Found | undefined} one
 * @param {Map<string, string>} titles of takes
 * @returns {Way[]}
 */
export function waysOf(one, titles) {
	if (!one) return [];
	const { take, bed } = one.finding.place;
	/** @type {Way[]} */
	const ways = [];
	if (take && bed) {
		const title = titles.get(take) ?? takeTitle(take);
		ways.push({ name: "alone", title: "Play it alone", about: `${title} alone in its bed` },
			{ name: "bed", title: "With the others", about: `the bed with ${title}` });
	} else if (one.finding.sounds) {
		ways.push({ name: "play", title: "Play it", about: plainWords(one.finding.sounds, titles) });
	}
	return ways;
}

export class Card {
	#host;
	#play;
	#stop;
	/** @type {Map<string, HTMLButtonElement>} */
	#buttons = new Map();
	/** @type {import("./place.js").Found | undefined} */
	#one;
	#curves = [new Curves(), new Curves()];
	/** @type {Map<string, string>} titles of takes, by their names */
	titles = new Map();

	/**
	 * @param {HTMLElement} host
	 * @param {(way: string) => void} play
	 * @param {() => void} stop
	 */
	constructor(host, play, stop) {
		this.#host = host;
		this.#play = play;
		this.#stop = stop;
	}

	/**
	 * Marks the way in which the finding sounds now.
	 * @param {string} way "" for none
	 */
	sounding(way) {
		for (const [name, button] of this.#buttons) button.setAttribute("aria-pressed", String(name === way));
	}

	/**
	 * @param {import("./place.js").Found | undefined} one
	 * @param {string[]} keyNames
	 */
	show(one, keyNames) {
		if (one === this.#one && this.#host.childElementCount > 0) return;
		this.#one = one;
		this.#buttons.clear();
		if (!one) {
			this.#host.replaceChildren();
			return;
		}
		const { finding, part } = one;
		const ways = waysOf(one, this.titles);
		const buttons = ways.map(({ name, title }, i) => {
			const button = element("button",
				{ type: "button", "aria-pressed": "false", "aria-keyshortcuts": i === 0 ? "Space" : false }, title);
			button.addEventListener("click", () => this.#play(name));
			this.#buttons.set(name, button);
			return button;
		});
		const stop = element("button", { type: "button", "aria-keyshortcuts": "Escape" }, "Stop");
		stop.addEventListener("click", () => this.#stop());
		const line = (/** @type {string} */ name, /** @type {string} */ value) =>
			element("div", {}, element("dt", {}, name), element("dd", {}, value));
		const facts = [line("Where", placeWords(one, keyNames)),
			line("Sure to", `${Math.round(100 * finding.sure)} %`)];
		if (finding.place.contributor) facts.push(line("From", finding.place.contributor));
		if (finding.waived) facts.push(line("Waived", finding.waived));
		facts.push(line("Id", finding.id));
		const pictures = part.drawings.filter(({ about }) => about.length === 0 || about.includes(finding.what))
			.slice(0, this.#curves.length);
		pictures.forEach((picture, i) => this.#curves[i].show(picture, one.at, keyNames));
		this.#host.replaceChildren(
			element("p", { class: `grave ${one.grave}` }, sign(one.grave),
				`${part.name}: ${one.grave === "waived" ? `${finding.verdict}, waived` : one.grave}`),
			element("h3", {}, sentence(plainWords(finding.text, this.titles))),
			this.#scale(one),
			element("div", { class: "plays", role: "group", "aria-label": "Hear it" }, ...buttons,
				...(ways.length > 0 ? [stop] : []),
				element("span", { class: "quiet" }, ways[0]?.about ?? "Nothing of this can be heard.")),
			element("p", { class: "cure" }, element("span", { class: "quiet" }, "Cure "),
				plainWords(finding.cure, this.titles).replace(/\bDIR\b/g, "…")),
			...pictures.map((_, i) => this.#curves[i].element), element("dl", { class: "facts" }, ...facts));
	}

	/**
	 * Figure and limit on one line that begins at nothing.
	 * @param {import("./place.js").Found} one
	 */
	#scale({ finding: { figure, limit, unit }, grave }) {
		const most = Math.max(Math.abs(figure), Math.abs(limit)) * 1.08 || 1;
		const at = (/** @type {number} */ value) => `${Math.min(100, (100 * Math.abs(value)) / most).toFixed(2)}%`;
		const svg = drawn("svg", { class: `scale ${grave}`, "aria-hidden": "true" },
			drawn("line", { x1: 0, y1: "50%", x2: "100%", y2: "50%", class: "rule" }),
			drawn("line", { x1: at(limit), y1: "50%", x2: at(figure), y2: "50%", class: "beyond" }),
			drawn("line", { x1: at(limit), y1: "15%", x2: at(limit), y2: "85%", class: "limit" }),
			drawn("circle", { cx: at(figure), cy: "50%", r: "0.32em", class: "figure" }));
		return element("div", { class: "measure" }, svg, element("p", {}, element("b", {}, amount(figure, unit)),
			element("span", { class: "quiet" },
				` ${figure < limit ? "under" : "over"} the limit of ${amount(limit, unit)}`)));
	}
}
