// What the page's scripts give one another: a page that was opened by a double click may read nothing but scripts.

/** @type {import("../types.js").Lapstrake} */
export const scripts = /** @type {any} */ (window).lapstrake;

/** @type {Map<Element | null, string>} what scripts gave */
const given = new Map();
scripts.give = (text) => given.set(document.currentScript, text);

/**
 * Runs a script that gives a text.
 * @param {string} file
 * @returns {Promise<string>}
 */
export function fetchText(file) {
	return new Promise((resolve, reject) => {
		const script = document.createElement("script");
		const end = () => {
			const text = given.get(script);
			given.delete(script);
			script.remove();
			if (text === undefined) reject(new Error("cannot be read: is the folder whole?"));
			else resolve(text);
		};
		script.onload = script.onerror = end;
		script.src = file.split("/").map(encodeURIComponent).join("/");
		document.head.append(script);
	});
}
