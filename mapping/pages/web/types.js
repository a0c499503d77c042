// What the player tells, as engine/page writes it.

/**
 * @typedef {{two: boolean, text: string, blind: boolean}} MapsTold
 * @typedef {{path: string, from: number, to: number}} BedTold a bed, from where to where it is heard, in turns
 * @typedef {{sec: number, beds: BedTold[]}} CycleTold
 * @typedef {{rank: string, root: number, low: number, high: number, start: number, level: number,
 *   cents: number, silent: boolean, gains: number[],
 *   cycles: CycleTold[]}} ZoneTold gains are those of its keys, from low to high; level, cents and
 *   silent are its nudge
 * @typedef {{tried: number[], steps: number}} NudgesTold zones that are not as in the file; steps that can be taken
 *   back
 * @typedef {{what: string, zone?: string, zones?: number, file?: string, error?: string}} NudgedTold
 * @typedef {{bed: string, take: string, how: string, matched: boolean, gainDB: number, working: boolean,
 *   error?: string}} ApartTold a bed that is listened into
 * @typedef {{mark: number, leadSec: number, changed: {beds: string[] | null, missing: string[] | null,
 *   map: string[] | null, left_out: number}, same: boolean, error?: string}} HeardMarkTold
 * @typedef {{controller: number, law: string, gains: number[][]}} DynamicsTold
 * @typedef {{title: string, number: number, middleC: string, keyNames: string[], layers: string[], strands: string[],
 *   ranks: string[], bendSemitones: number, polyphony: number, dynamics: DynamicsTold, volume: number[],
 *   zones: ZoneTold[]}} MapTold
 * @typedef {{withinTurns: number, afterSec: number | null}} ReturnTold
 * @typedef {{sec: number, worstTurns: number}} NearingTold
 * @typedef {{beganFrame: number, cycles: number, horizonSec: number, returns: ReturnTold[],
 *   nearing: NearingTold[]}} ReturnsTold
 * @typedef {{key: number, zone: number, layer: number, bed: number}} PlaceTold
 * @typedef {{name: string, title: string, who: string, byDB: number, sones: number, places: PlaceTold[]}} TakeTold
 * @typedef {{reading: boolean, error?: string, unknown: string[], takes: TakeTold[]}} HeardTold
 * @typedef {{take: string, beds: string[]}} WhereTold
 * @typedef {{dynamics: number, heard_sec: number, stretches: {from_s: number, to_s: number, by_db: number}[] | null}}
 *   HeardAt
 * @typedef {{bed: string, bedSec: number, heardSec: number, at: HeardAt[], moved: number, tuned: boolean}} BedHeld
 * @typedef {{name: string, cells: string[], kind: string, layer: string, strand: string, hz: number | null,
 *   sureness: number | null, lufs: number | null, sec: number | null, snr: number | null, flags: string[],
 *   heardSec: number, beds: BedHeld[]}} RowTold cells are in the order of the sheet's columns
 * @typedef {{error?: string, columns: string[], choices: Record<string, string[]>, takes: RowTold[]}} SheetTold
 * @typedef {{take: string, column: string, undone: boolean, error?: string}} EditedTold
 * @typedef {{keys?: number[], rank?: string, layer?: string, bed?: string, take?: string, contributor?: string,
 *   chord?: string, dynamics?: number, at_sec?: number}} Place
 * @typedef {"passes" | "warns" | "fails"} Verdict
 * @typedef {{id: string, what: string, place: Place, text: string, figure: number, limit: number, unit: string,
 *   spread: number, sure: number, verdict: Verdict, cure: string, waived?: string, sounds: string}} FindingTold sounds
 *   is what is heard when it is played; empty where it cannot be
 * @typedef {{title: string, across: string, axis: "keys" | "controller" | "time" | "numbers", up: string,
 *   about: string[], curves: {name: string, x: number[], y: (number | null)[], dots: boolean}[]}} DrawnTold
 * @typedef {{name: string, about: string, verdict: Verdict, findings: FindingTold[], drawings: DrawnTold[],
 *   figures: {name: string, value: number, unit: string, better: string}[]}} PartTold
 * @typedef {{error?: string, never: boolean, checkedMS: number, verdict: Verdict, parts: PartTold[]}} CheckedTold
 * @typedef {{can: boolean, percent: number, failed?: string, changed: string[]}} CheckingTold
 * @typedef {{finding: string, ready: boolean, error?: string}} PlayingTold
 * @typedef {{alone?: boolean, on(told: string, heed: (what: any) => void): void,
 *   onPicture(heed: (picture: import("./picture.js").Picture) => void): void,
 *   onState(heed: (connected: boolean) => void): void, send(message: {do: string} & Record<string, unknown>): void}}
 *   Link to what plays: the player, or, where alone is true, the page itself
 */

// What an export writes of its instrument: keymap.schema.json describes it. The page that plays it is told the same,
// and more of who is heard.

/**
 * @typedef {{file: string, layer: string, rank: string, root: number, low: number, high: number, gain_db: number,
 *   tune_cents: number, press: number, press_of: number, rate_hz: number, channels: number, frames: number,
 *   begin_frame: number}} KeyRow
 * @typedef {{title: string, artist?: string, layers: string[], attack_sec: number, release_sec: number,
 *   bend_range_semitones: number, bend_smoothing_sec: number, velocity_amount: number, volume_controllers: number[],
 *   volume_smoothing_sec: number, hold_pedal: number, sostenuto_pedal: number, pedal_down_from: number,
 *   voices: number, dynamics_controller: number, dynamics_initial: number, dynamics_smoothing_sec: number,
 *   files: KeyRow[]}} KeyMap
 * @typedef {{name: string, title: string, who: string}} TakeHeld
 * @typedef {{path: string, sec: number, takes: TakeHeld[], from: number, blocks: number[]}} BedHeard the courses of
 *   its takes lie one after another from a byte on, so many blocks each
 * @typedef {{overlapSec: number, beds: BedHeard[]}} HeardBeds
 * @typedef {{name: string, terms: string, takes: string[]}} Credited
 * @typedef {{keyMap: KeyMap, map: MapTold, rowZones: number[], heard: HeardBeds | null, credits: Credited[],
 *   made: string[]}} AloneTold rowZones are the zones of the key map's files
 */

/**
 * What the page's scripts give one another (window.lapstrake): what is told of the instrument as JSON, the script of
 * the audio thread, and the text that a script of sound gives.
 * @typedef {{told: string, player: string, give(text: string): unknown,
 *   perform(messages: {frame: number, midi: number[]}[], frames: number, rateHz: number): Promise<AudioBuffer>,
 *   standOut(playing: import("./alone/standout.js").Playing[]): TakeTold[]}} Lapstrake perform and standOut are there
 *   for those who compare
 */

export {};
