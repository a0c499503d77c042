// Marks: this moment kept with a remark, and the moments that were kept, to be heard again.

import { element, say, write } from "../element.js";

const leadSec = 5;
const keptSec = 30; // of the performance before a mark

/**
 * @typedef {{mark: number, when: string, keys: string, dynamics: number, loudest: string, remark: string}} MarkTold
 */

export class Marks {
	#count = element("summary");
	#list = element("ol", { class: "marks" });
	#heard = element("p", { class: "where" });
	#link;

	/**
	 * @param {HTMLElement} form where a moment is marked
	 * @param {HTMLElement} host where marks are listed
	 * @param {import("../types.js").Link} link
	 */
	constructor(form, host, link) {
		this.#link = link;
		const remark = element("input",
			{ type: "text", maxlength: 200, placeholder: "remark", "aria-label": "Remark on this moment" });
		const made = element("form", { class: "mark-form" }, remark, element("button", {}, "Mark"));
		made.addEventListener("submit", (event) => {
			event.preventDefault();
			link.send({ do: "mark", remark: remark.value });
			remark.value = "";
		});
		form.append(made);
		const music = element("button", { type: "button" }, "Back to the music");
		music.addEventListener("click", () => link.send({ do: "music" }));
		host.append(element("details", {}, this.#count, this.#list, this.#heard, music));
		this.#tell([]);
		link.on("marks", (told) => this.#tell(told));
		link.on("heardmark", (told) => this.#tellHeard(told));
	}

	/** @param {MarkTold[]} told the newest first */
	#tell(told) {
		const moments = told.length === 1 ? "moment" : "moments";
		write(this.#count, told.length === 0 ? "No moment is marked yet" : `${told.length} marked ${moments}`);
		this.#list.replaceChildren(...told.map((one) => element("li", {}, element("span", {},
			element("b", {}, `${one.mark} `), one.remark ? `${one.remark} · ` : "", one.keys || "nothing sounds",
			one.loudest ? element("span", { class: "quiet" }, ` ${one.loudest}`) : ""),
		this.#hear(one.mark, leadSec, "Hear"), this.#hear(one.mark, keptSec, `${keptSec} s before`))));
	}

	/**
	 * @param {number} mark
	 * @param {number} lead seconds before the mark
	 * @param {string} title
	 */
	#hear(mark, lead, title) {
		const button = element("button", { type: "button", "aria-label": `${title}: mark ${mark}` }, title);
		button.addEventListener("click", () => {
			write(this.#heard, `Mark ${mark} is being rendered …`);
			this.#link.send({ do: "hearmark", mark, leadSec: lead });
		});
		return button;
	}

	/** @param {import("../types.js").HeardMarkTold} told */
	#tellHeard(told) {
		const { beds, missing, map, left_out: out } = told.changed;
		const changes = [...(beds ?? []).map((bed) => `${bed} is another bed now`),
			...(missing ?? []).map((bed) => `${bed} has gone`),
			...(out > 0 ? [`${out} notes on an older map are left out`] : []),
			...(map ?? []).map((field) => `in the map ${field}; it sounds by the map as it was`)];
		const text = told.error || `Mark ${told.mark} sounds, from ${told.leadSec.toFixed(1)} s before it`
			+ `${told.same ? ", as it did" : ", not quite as it did"}`
			+ `${changes.length ? `: ${changes.join("; ")}` : ""}.`;
		write(this.#heard, text);
		say(text);
	}
}
