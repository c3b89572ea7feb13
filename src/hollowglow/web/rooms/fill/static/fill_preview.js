// Shows how a kind would look while its sliders and fields are changed; nothing is written.

const REST_MS = 250;

class FillPreview extends HTMLElement {
  connectedCallback() {
    this.busy = false;
    this.again = false;
    this.addEventListener("input", (event) => {
      const input = event.target;
      // A half typed word is no length yet: fields are looked at when they are left, sliders while they move.
      if (input instanceof HTMLInputElement && input.type === "range") this.soon();
    });
    this.addEventListener("change", () => this.soon());
  }

  disconnectedCallback() {
    clearTimeout(this.timer);
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => void this.look(), REST_MS);
  }

  async look() {
    if (this.busy) {
      this.again = true;
      return;
    }
    const form = this.querySelector("form");
    if (!form || !form.querySelector("[formaction]:not([disabled])")) return;
    this.busy = true;
    const body = new URLSearchParams();
    for (const [key, value] of new FormData(form)) body.append(key, String(value));
    try {
      const answer = await fetch("/preview", { method: "POST", body });
      const other = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("preview");
      const here = document.getElementById("preview");
      if (answer.ok && other && here && this.isConnected) here.replaceChildren(...other.childNodes);
    } catch {
      // The page says by itself that the workbench is gone.
    }
    this.busy = false;
    if (this.again && this.isConnected) {
      this.again = false;
      void this.look();
    }
  }
}

customElements.define("fill-preview", FillPreview);

export {};
