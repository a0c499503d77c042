// Web MIDI: asked for on a click alone. All keyboards play, on all channels.

import { element, say, write } from "../element.js";

/**
 * @param {HTMLElement} host
 * @param {(bytes: number[]) => void} take
 */
export function offerMIDI(host, take) {
	const button = element("button", { type: "button" }, "Play by MIDI keyboard");
	const state = element("p", { role: "status" });
	host.append(button, state);
	/** @type {any} */
	const browser = navigator;
	if (!browser.requestMIDIAccess) {
		button.disabled = true;
		write(state, "This browser has no Web MIDI.");
		return;
	}
	button.addEventListener("click", async () => {
		try {
			const access = await browser.requestMIDIAccess();
			const hear = () => {
				const names = [];
				for (const input of access.inputs.values()) {
					names.push(input.name);
					input.onmidimessage = (/** @type {{data: Uint8Array}} */ event) => take([...event.data]);
				}
				write(state, names.length > 0 ? names.join(", ") : "No MIDI keyboard is there yet.");
			};
			access.onstatechange = hear;
			hear();
			button.hidden = true;
		} catch {
			write(state, "The browser did not allow MIDI.");
			say("The browser did not allow MIDI.");
		}
	});
}
