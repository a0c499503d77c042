// The player's clock as the page knows it, so that places can be drawn between two pictures.

const followed = 0.05; // of the difference, each picture: pictures come unevenly, the player's clock runs evenly
const lostMS = 400; // farther off than this, the clock is set anew

export class PlayerClock {
	#offsetMS = NaN; // of the player's time from the page's
	#rateHz = 48000;

	/**
	 * Takes in a picture that came at nowMS.
	 * @param {import("./picture.js").Picture} picture
	 * @param {number} nowMS
	 */
	see(picture, nowMS) {
		this.#rateHz = picture.rateHz;
		const offsetMS = (picture.frame / picture.rateHz) * 1000 - nowMS;
		const away = offsetMS - this.#offsetMS;
		if (Math.abs(away) < lostMS) this.#offsetMS += away * followed;
		else this.#offsetMS = offsetMS;
	}

	/**
	 * The frame at which the player stands at nowMS.
	 * @param {number} nowMS
	 */
	frame(nowMS) {
		return ((nowMS + this.#offsetMS) / 1000) * this.#rateHz;
	}
}
