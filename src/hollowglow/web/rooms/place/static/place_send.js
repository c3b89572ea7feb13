// Small commands to the server: one when a drag ends, one after a run of arrow keys, each with its answer.

const PAUSE_MS = 350;

export class Sender {
  /** @param {(words: string) => void} refused Called with why something was not done. */
  constructor(refused) {
    this.refused = refused;
    /** @type {Record<string, string> | null} */
    this.waiting = null;
    this.timer = 0;
    this.going = 0;
    /** @type {() => void} */
    this.done = () => undefined;
  }

  /** @param {Record<string, string>} command Sent once nothing more comes for a moment; a newer one takes its place. */
  later(command) {
    this.waiting = command;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.flush(), PAUSE_MS);
  }

  /** Send what waits. @returns {Promise<boolean>} */
  async flush() {
    clearTimeout(this.timer);
    const command = this.waiting;
    this.waiting = null;
    return command ? this.send(command) : true;
  }

  /** @returns {boolean} Whether the server has not yet answered all. */
  get busy() {
    return this.going > 0 || this.waiting !== null;
  }

  /** @param {Record<string, string>} command @returns {Promise<boolean>} Whether it was done. */
  async send(command) {
    this.going += 1;
    let words = "";
    try {
      const answer = await fetch("/place/do.json", { method: "POST", body: new URLSearchParams(command) });
      if (!answer.ok) words = (await answer.json()).error.message;
    } catch {
      words = "The workbench does not answer, so nothing was changed.";
    }
    this.going -= 1;
    if (words) this.refused(words);
    this.done();
    return !words;
  }
}
