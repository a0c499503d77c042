// Marks: this moment kept with a remark, and the moments that were kept.

import { element, write } from "../element.js";

/** @typedef {{mark: number, when: string, keys: string, dynamics: number, loudest: string, remark: string}} MarkTold */

export class Marks {
	#count = element("summary");
	#list = element("ol", { class: "marks" });

	/**
	 * @param {HTMLElement} form where a moment is marked
	 * @param {HTMLElement} host where marks are listed
	 * @param {import("../types.js").Link} link
	 */
	constructor(form, host, link) {
		const remark = element("input", { type: "text", maxlength: 200, placeholder: "remark", "aria-label": "Remark on this moment" });
		const made = element("form", { class: "mark-form" }, remark, element("button", {}, "Mark"));
		made.addEventListener("submit", (event) => {
			event.preventDefault();
			link.send({ do: "mark", remark: remark.value });
			remark.value = "";
		});
		form.append(made);
		host.append(element("details", {}, this.#count, this.#list));
		this.#tell([]);
		link.on("marks", (told) => this.#tell(told));
	}

	/** @param {MarkTold[]} told the newest first */
	#tell(told) {
		write(this.#count, told.length === 0 ? "No moment is marked yet" : `${told.length} marked ${told.length === 1 ? "moment" : "moments"}`);
		this.#list.replaceChildren(...told.map((one) => element("li", {},
			element("b", {}, `${one.mark} `), one.remark ? `${one.remark} · ` : "", one.keys || "nothing sounds",
			one.loudest ? element("span", { class: "quiet" }, ` ${one.loudest}`) : "")));
	}
}
