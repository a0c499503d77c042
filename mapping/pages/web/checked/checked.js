// The view of what check found: where on the keys, how grave, and how it sounds.

import { element, say, write } from "../element.js";
import { Rows } from "../rows.js";
import { Card, waysOf } from "./card.js";
import { Chart } from "./chart.js";
import { allFound, amount, placeWords, plainWords } from "./place.js";
import { sign } from "./sign.js";
import { parts } from "../takes/choose.js";

/** @typedef {import("./place.js").Found} Found */

/** @type {import("../views.js").View} */
export const checked = { name: "checked", title: "Checked", build };

const deepestTimes = 8; // a full line

/**
 * @param {HTMLElement} host
 * @param {import("../link.js").Link} link
 * @returns {import("../views.js").Built}
 */
function build(host, link) {
	/** @type {import("../types.js").CheckedTold | null} */
	let told = null;
	/** @type {import("../types.js").CheckingTold} */
	let checking = { can: false, percent: -1, changed: [] };
	/** @type {import("../types.js").MapTold | null} */
	let map = null;
	/** @type {Found[]} */
	let all = [];
	let only = "";
	let playing = ""; // the finding that sounds
	let playedBy = "";
	let latched = false;

	const verdict = element("p", { class: "verdict-line" });
	const state = element("p", { class: "checked-state", role: "status" });
	const run = element("button", { type: "button" }, "Check now");
	const bar = element("progress", { max: 100, "aria-label": "How far the checks are", hidden: true });
	const problem = element("p", { class: "problem", role: "alert" });
	const chartHost = element("div", { class: "soundings" });
	const listHost = element("div", { class: "list" });
	const cardHost = element("div", { class: "card" });
	const below = element("div", { class: "findings" }, listHost, cardHost);
	host.append(element("h2", { class: "unseen" }, "Checked"),
		element("div", { class: "standing" }, verdict, state, bar, run), problem, chartHost, below);

	const card = new Card(cardHost, play, stop);
	const list = new Rows(listHost, {
		label: "Findings: arrow keys walk, space plays, Escape stops", id: "finding", heightEm: 3.1,
		name: (/** @type {Found} */ { finding }) => finding.id, make,
	}, choose);
	const chart = new Chart(chartHost, (one) => {
		if (only && one.part.name !== only) return;
		list.choose(shown().indexOf(one));
	}, (check) => {
		only = check;
		list.fill(shown());
		listHost.scrollTop = 0;
		list.choose(0);
		say(check ? `Findings of ${check} alone` : "Findings of all checks");
	});

	/** @returns {Found[]} */
	function shown() {
		return only ? all.filter((one) => one.part.name === only) : all;
	}

	/** @param {Found} one */
	function make(one) {
		const { finding, part } = one;
		const line = element("i", { class: `heard-line ${one.grave}` });
		const deep = Math.log2(one.times) / Math.log2(deepestTimes);
		line.style.setProperty("--part", String(Math.max(0.02, Math.min(1, deep))));
		return { class: `finding ${one.grave}${finding.id === playing ? " playing" : ""}`, inside: [sign(one.grave),
			element("span", { class: "unseen" }, `${one.grave}: `),
			element("span", { class: "what" }, plainWords(finding.text, card.titles)),
			element("span", { class: "place" }, `${part.name} · ${placeWords(one, map?.keyNames ?? [])}`),
			element("span", { class: "figure" }, amount(finding.figure, finding.unit)), line] };
	}

	/** @param {Found | undefined} one */
	function choose(one) {
		card.show(one, map?.keyNames ?? []);
		card.sounding(one && one.finding.id === playing ? playedBy : "");
		chart.mark(one);
	}

	/** @param {string} [way] */
	function play(way) {
		const one = list.chosen();
		const by = way ?? waysOf(one, card.titles)[0]?.name;
		if (!one || !by) {
			say("Nothing of this can be heard.");
			return;
		}
		playedBy = by;
		const { id, place } = one.finding;
		if (by === "play") link.send({ do: "play", finding: id });
		else {
			link.send({ do: "stop" });
			link.send({ do: "hear", take: place.take, version: by, bed: place.bed });
			marked(id);
		}
	}

	function stop() {
		link.send({ do: "stop" });
		link.send({ do: "music" });
		if (playing && latched) link.send({ do: "silence" }); // else the latch would hold what was struck
		marked("");
	}

	/** @param {string} finding that sounds now; "" for none */
	function marked(finding) {
		playing = finding;
		card.sounding(list.chosen()?.finding.id === finding ? playedBy : "");
		for (const row of listHost.querySelectorAll(".finding")) {
			row.classList.toggle("playing", row instanceof HTMLElement && row.dataset.name === finding);
		}
	}

	/** Shows what is known anew. */
	function arrange() {
		if (!told || !map) return;
		all = allFound(told.parts, map);
		chart.fill(all, told.parts, map);
		list.fill(shown());
		below.hidden = all.length === 0;
		choose(list.chosen());
		stand();
	}

	/** Says how things stand. */
	function stand() {
		if (!told) return;
		const count = (/** @type {string} */ grave) => all.filter((one) => one.grave === grave).length;
		const words = [["fails", "fail", "fails"], ["warns", "warn", "warns"], ["waived", "waived", "waived"]]
			.map(([grave, many, one]) => ({ grave, n: count(grave), word: count(grave) === 1 ? one : many }))
			.filter(({ n }) => n > 0);
		const runs = checking.percent >= 0;
		if (told.never) verdict.replaceChildren("This map has not been checked yet.");
		else if (words.length === 0) verdict.replaceChildren(sign("passes"), `All ${told.parts.length} checks pass.`);
		else {
			verdict.replaceChildren(...words.map(({ grave, n, word }) =>
				element("span", {}, sign(/** @type {import("./sign.js").Grave} */ (grave)), `${n} ${word}`)));
		}
		const passed = told.parts.filter((part) => part.findings.length === 0).map((part) => part.name);
		write(state, runs ? "The checks run beside the sound, and give way to it." : checking.changed.length > 0 ?
			`These findings are of an older build: ${named(checking.changed)} changed since.` : told.never ?
				"The checks take a minute or a few. They run beside the sound, and give way to it." :
				passed.length > 0 && words.length > 0 ? `Nothing to say of ${passed.join(", ")}.` : "");
		host.classList.toggle("older", checking.changed.length > 0);
		write(problem, told.error ?? (checking.failed ? `The checks could not be run: ${checking.failed}` : ""));
		run.hidden = !checking.can;
		run.disabled = runs;
		write(run, told.never ? "Check now" : "Check again");
		bar.hidden = !runs;
		bar.value = Math.max(0, checking.percent);
	}

	run.addEventListener("click", () => link.send({ do: "check" }));
	host.addEventListener("keydown", (event) => {
		if (event.ctrlKey || event.metaKey || event.altKey) return;
		if (event.key === "Escape") stop();
		else if (event.key === " " && event.target === listHost) play();
		else return;
		event.preventDefault();
		event.stopPropagation();
	});

	link.on("map", (/** @type {import("../types.js").MapTold} */ one) => {
		map = one;
		arrange();
	});
	link.on("sheet", (/** @type {import("../types.js").SheetTold} */ sheet) => {
		card.titles = new Map(sheet.takes.map((row) => [row.name, parts(row, sheet).title]));
		arrange();
	});
	link.on("checked", (/** @type {import("../types.js").CheckedTold} */ one) => {
		told = one;
		arrange();
	});
	link.on("checking", (/** @type {import("../types.js").CheckingTold} */ one) => {
		if (checking.percent >= 0 && one.percent < 0 && !one.failed) say("The checks have run.");
		checking = one;
		stand();
	});
	link.on("playing", (/** @type {import("../types.js").PlayingTold} */ one) => {
		if (one.error) write(problem, one.error);
		marked(one.error ? "" : one.finding);
		if (one.ready) say(`Playing ${list.chosen()?.finding.sounds ?? ""}`);
	});
	link.on("hearing", (/** @type {{take: string, error?: string}} */ one) => {
		if (one.error && !host.hidden) {
			write(problem, one.error);
			marked("");
		}
	});
	link.onPicture(({ latch }) => {
		latched = latch;
	});

	return {
		show() {
			list.lay();
			chart.draw();
		},
		hide: stop,
	};
}

/** @param {string[]} files */
function named(files) {
	const beds = files.filter((file) => file.endsWith(".wav")).length;
	const others = files.filter((file) => !file.endsWith(".wav"));
	if (beds > 0) others.push(beds === 1 ? "1 bed" : `${beds} beds`);
	return `${others.join(" and ")} ${files.length === 1 ? "has" : "have"}`;
}
