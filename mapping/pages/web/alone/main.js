// The page that plays an exported instrument by itself: the view of what sounds, and the credits.

import { element, say, write } from "../element.js";
import { sounding } from "../sounding/sounding.js";
import { decibels, sharpened, takeTitle } from "../words.js";
import { AloneLink } from "./link.js";
import { offerMIDI } from "./midi.js";
import { scripts } from "./scripts.js";

const { player } = scripts;
/** @type {import("../types.js").AloneTold} */
const told = JSON.parse(scripts.told, sharpened);
const link = new AloneLink(told, player);
scripts.perform = (messages, frames, rateHz) => link.perform(messages, frames, rateHz);
scripts.standOut = (playing) => link.standOut(playing);

const place = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id));
const { title, artist } = told.keyMap;
document.title = artist ? `${title}, ${artist}` : title;
place("title").textContent = title;
place("artist").textContent = artist ?? "";

const standing = element("b");
place("caution").append(standing, " Begin with the volume low, on headphones above all. No program knows the level " +
	"at your ear: the rules of your workplace come first.");
link.onPicture(({ faderDB }) => write(standing, `The output stands at ${decibels(faderDB, 0)}.`));

const section = element("section", { class: "sounding alone", "aria-label": sounding.title });
place("view").append(section);
sounding.build(section, link).show();
offerMIDI(place("midi"), (bytes) => link.midi(bytes));
showCredits(place("credits"));

link.on("reading", ({ read, of, failed }) => {
	write(place("state"), failed ? `A sound is missing: ${failed}` : read < of ? `Sounds read: ${read} of ${of}` : "");
	if (failed) say(failed);
});
link.open();

/** @param {HTMLElement} host */
function showCredits(host) {
	const rows = told.credits.map(({ name, terms, takes }) => {
		const sounds = takes.map(takeTitle).join(", ") + (terms ? ` · ${terms}` : "");
		return element("li", {}, element("span", { class: "name" }, name), " ",
			element("span", { class: "who" }, sounds));
	});
	const list = element("ul", { class: "credited" }, ...rows);
	if (rows.length > 0) host.append(element("h2", {}, "With the sounds of"), list);
	host.append(...told.made.map((line) => element("p", { class: "note" }, line)));
}
