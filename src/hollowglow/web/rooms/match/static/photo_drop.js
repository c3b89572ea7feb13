// A form for photographs onto which files may be dropped; what is too large is said before it is sent.

const MOST_BYTES = 64 * 2 ** 20;

class PhotoDrop extends HTMLElement {
  connectedCallback() {
    const input = this.querySelector("input[type=file]");
    if (!(input instanceof HTMLInputElement) || !input.form) return;
    this.input = input;
    this.addEventListener("dragover", (event) => {
      event.preventDefault();
      this.classList.add("over");
    });
    this.addEventListener("dragleave", () => this.classList.remove("over"));
    this.addEventListener("drop", (event) => {
      event.preventDefault();
      this.classList.remove("over");
      const files = event.dataTransfer?.files;
      if (files && files.length) {
        input.files = files;
        input.form?.requestSubmit();
      }
    });
    input.form.addEventListener("submit", (event) => {
      const big = [...(input.files ?? [])].filter((file) => file.size > MOST_BYTES);
      if (!big.length) return;
      event.preventDefault();
      this.say(
        big
          .map((f) => `${f.name}: found ${Math.round(f.size / 2 ** 20)} MiB, expected 64 MiB at most.`)
          .join(" ") + " Save it smaller, or as JPEG. Nothing was sent.",
      );
    });
  }

  /** @param {string} words */
  say(words) {
    const why = this.querySelector(".why");
    if (why) why.textContent = words;
    this.input?.setAttribute("aria-invalid", "true");
    this.input?.setAttribute("aria-describedby", why?.id ?? "");
  }
}

customElements.define("photo-drop", PhotoDrop);

export {};
