// The page's beginning: the link to the player, the views, the line that says how things stand.

import { Link } from "./link.js";
import { element, say, write } from "./element.js";
import { views } from "./views.js";
import { decibels } from "./words.js";

// The address keeps no token.
history.replaceState(null, "", location.pathname + location.hash);

const link = new Link();
const host = /** @type {HTMLElement} */ (document.getElementById("view"));
const state = /** @type {HTMLElement} */ (document.getElementById("state"));
/** @type {Map<string, {section: HTMLElement, view: import("./views.js").Built}>} */
const built = new Map();

const links = views.map((view) => element("a", { href: "#" + view.name }, view.title));
document.getElementById("views")?.append(...links);

/** Shows the view that the address names, and builds it when it is first shown. */
function showView() {
	const wanted = views.find((view) => "#" + view.name === location.hash) ?? views[0];
	for (const [name, { section, view }] of built) {
		if (name !== wanted.name && !section.hidden) {
			section.hidden = true;
			view.hide();
		}
	}
	let one = built.get(wanted.name);
	if (!one) {
		const section = element("section", { class: wanted.name, "aria-label": wanted.title, hidden: "" });
		host.append(section);
		one = { section, view: wanted.build(section, link) };
		built.set(wanted.name, one);
	}
	if (one.section.hidden) {
		one.section.hidden = false;
		one.view.show();
	}
	views.forEach((view, i) => {
		if (view === wanted) links[i].setAttribute("aria-current", "page");
		else links[i].removeAttribute("aria-current");
	});
	nameWindow(wanted.title);
}

let title = "lapstrake";

/** @param {string} view */
function nameWindow(view) {
	document.title = `${title} · ${view}`;
}

link.on("map", (/** @type {import("./types.js").MapTold} */ map) => {
	title = map.title;
	const heading = document.getElementById("title");
	if (heading) heading.textContent = title;
	nameWindow(document.querySelector("#views [aria-current]")?.textContent ?? "");
});

const standing = element("b");
document.getElementById("caution")?.append(standing, " Begin with the volume low, on headphones above all. " +
	"No program knows the level at your ear: the rules of your workplace come first.");
link.onPicture(({ faderDB, outputDB }) => write(standing, `The output stands at ${decibels(faderDB, 0)}` +
	(outputDB - faderDB > 0.5 ? ` and rises to ${decibels(outputDB, 0)}.` : ".")));

link.onState((connected) => {
	document.body.classList.toggle("away", !connected);
	state.textContent = connected ? "" : "The player does not answer. Looking for it again …";
	if (connected) say("Connected to the player.");
});

link.onRefusal(() => write(state,
	"The player was started anew. Open the address that it printed: this page goes on then."));

addEventListener("hashchange", showView);
showView();
link.open();
