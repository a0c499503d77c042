// The view of what sounds while the hands are on the keys.

import { calm, element } from "../element.js";
import { legend } from "./legend.js";
import { PlayerClock } from "../clock.js";
import { Apart } from "./apart.js";
import { Closer } from "./closer.js";
import { groupCourses } from "./courses.js";
import { Fingers } from "./fingers.js";
import { Hand } from "./hand.js";
import { Heard } from "./heard.js";
import { Keyboard } from "./keyboard.js";
import { Marks } from "./marks.js";
import { Meters } from "./meters.js";
import { Nudges } from "./nudges.js";
import { Returns } from "./returns.js";
import { Rings } from "./rings.js";
import { CourseTable } from "./table.js";

const layMS = 60; // between two looks at what is not drawn in each frame
const wordsMS = 250; // between two changes of the table's words
const calmMS = 500; // between two drawings for those who want little to move

/** @type {import("../views.js").View} */
export const sounding = { name: "sounding", title: "Sounding", build };

/**
 * @param {HTMLElement} host
 * @param {import("../types.js").Link} link
 * @returns {import("../views.js").Built}
 */
function build(host, link) {
	const middle = element("div", { class: "middle" });
	const strands = element("ul", { class: "legend", "aria-label": "How the chart is read" });
	const chart = element("div", { class: "chart" }, middle, strands);
	const part = (/** @type {string} */ name) => element("div", { class: name });
	const [heardHost, closerHost, returnsHost, tableHost, metersHost, handHost, keysHost] =
		["heard", "closer", "comes-back", "in-words", "meters", "hand", "keys"].map(part);
	host.append(element("h2", { class: "unseen" }, "Sounding"), chart, heardHost, returnsHost, tableHost, handHost,
		keysHost);
	if (!link.alone) host.append(closerHost, metersHost);
	const rings = new Rings(chart);
	const keyboard = new Keyboard(keysHost);
	const fingers = new Fingers(link, keyboard);
	const hand = new Hand(handHost, link, fingers);
	const returns = new Returns(returnsHost, middle);
	const meters = link.alone ? null : new Meters(metersHost, link);
	if (!link.alone) new Marks(handHost, metersHost, link);
	const table = new CourseTable(tableHost);
	const heard = new Heard(heardHost, link, (beds) => {
		rings.point(beds);
		keyboard.point(beds);
	}, (take) => apart?.choose(take));
	const closer = link.alone ? null : new Closer(closerHost, link, (blind) => host.classList.toggle("blind", blind));
	const apart = link.alone ? null : new Apart(closerHost, link, (some) => closer?.setApart(some));
	const nudges = link.alone ? null : new Nudges(closerHost, link);
	const clock = new PlayerClock();
	/** @type {import("../types.js").MapTold | null} */
	let map = null;
	/** @type {import("../picture.js").Picture | null} */
	let laid = null;
	/** @type {import("./courses.js").Group[]} */
	let groups = [];
	let laidMS = 0;
	let wordsAtMS = 0;
	let drawnMS = 0;
	let frameNumber = 0;

	link.on("map", (told) => {
		map = told;
		legend(strands, told);
		for (const one of [hand, meters, keyboard, heard, closer, apart, nudges]) one?.setMap(told);
	});
	link.on("returns", (told) => returns.tell(told));
	link.onPicture((came) => {
		const nowMS = performance.now();
		clock.see(came, nowMS);
		meters?.hear(came);
		if (!map || host.hidden || nowMS - laidMS < layMS) return;
		laidMS = nowMS;
		laid = came;
		groups = groupCourses(came, map);
		rings.lay(groups, map, nowMS);
		keyboard.show(groups);
		hand.show(came);
		meters?.show(came, nowMS);
		if (nowMS - wordsAtMS > wordsMS) {
			wordsAtMS = nowMS;
			table.show(groups, map);
			closer?.show(groups);
			nudges?.show(groups);
			returns.show(groups, came.chordFrame >= 0 ? (came.frame - came.chordFrame) / came.rateHz : NaN);
		}
	});

	/** @param {number} nowMS */
	function draw(nowMS) {
		frameNumber = requestAnimationFrame(draw);
		if (!laid || (calm() && nowMS - drawnMS < calmMS)) return;
		drawnMS = nowMS;
		rings.draw(clock.frame(nowMS) - laid.frame, laid.rateHz, nowMS);
	}

	return {
		show() {
			frameNumber = requestAnimationFrame(draw);
		},
		hide() {
			cancelAnimationFrame(frameNumber);
			fingers.liftAll();
		},
	};
}
