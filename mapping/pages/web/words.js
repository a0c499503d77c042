// Numbers as they are read.

/**
 * Key names as musicians write them, in what JSON holds.
 * @param {string} name
 * @param {any} value
 */
export function sharpened(name, value) {
	return name === "keyNames" ? value.map((/** @type {string} */ key) => key.replace("#", "♯")) : value;
}

/**
 * Minutes and seconds, as a recorder's counter has them.
 * @param {number} sec
 */
export function clock(sec) {
	const whole = Math.max(0, Math.floor(sec));
	const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
	const minutes = Math.floor(whole / 60);
	if (minutes < 60) return `${minutes}:${two(whole % 60)}`;
	return `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(whole % 60)}`;
}

/**
 * Decibels with a true minus; silence from -100 down.
 * @param {number} db
 * @param {number} [digits]
 */
export function decibels(db, digits = 1) {
	if (!(db > -100)) return "−∞ dB";
	const text = Math.abs(db).toFixed(digits);
	const sign = Number(text) === 0 ? "" : db < 0 ? "−" : "+";
	return `${sign}${text} dB`;
}

/**
 * A part of a turn as per cent.
 * @param {number} turns
 */
export function percent(turns) {
	const value = 100 * turns;
	return value < 9.95 ? `${value.toFixed(1)} %` : `${Math.round(value)} %`;
}

/**
 * A take's name as it is read: its file's, without folder and ending, and its stretch.
 * @param {string} name
 */
export function takeTitle(name) {
	const file = name.split("/").pop() ?? name;
	return file.replace(/\.[a-z0-9]{2,4}(?=$|[^a-z0-9])/i, "").replace(/[-_]+/g, " ");
}

/**
 * A zone's name: its root, and its rank where that says more.
 * @param {import("./types.js").ZoneTold} zone
 * @param {string[]} keyNames
 */
export function zoneTitle(zone, keyNames) {
	const root = keyNames[zone.root];
	const rank = zone.rank.replace("#", "♯");
	return root.replace(/[-\d]+$/, "") === rank ? root : `${rank} ${root}`;
}

/**
 * @param {number} amplitude
 */
export function levelDB(amplitude) {
	return amplitude > 1e-6 ? 20 * Math.log10(amplitude) : -120;
}
