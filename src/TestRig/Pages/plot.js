// Moves and zooms waveforms without loading the page again: each stretch of time is a new picture from the service, as fine as the screen. The sums are those of PlotRange.
"use strict";
(() => {
  const fineness = 1000, longPress = 8;

  const text = (time) => {
    if (time === 0) return "0";
    const [unit, size] = time < 1e6 ? ["ns", 1e3] : time < 1e9 ? ["us", 1e6] : time < 1e12 ? ["ms", 1e9] : ["s", 1e12];
    const whole = Math.floor(time / size), rest = String(time % size).padStart(String(size).length - 1, "0").replace(/0+$/, "");
    return whole + (rest ? "." + rest : "") + unit;
  };

  const words = (time) => {
    const [unit, size] = time === 0 ? ["s", 1] : time < 1e3 ? ["ps", 1] : time < 1e6 ? ["ns", 1e3] : time < 1e9 ? ["µs", 1e6] : time < 1e12 ? ["ms", 1e9] : ["s", 1e12];
    return Number((time / size).toPrecision(4)) + " " + unit;
  };

  class Plot {
    constructor(figure) {
      const data = figure.dataset;
      this.figure = figure;
      this.frame = figure.querySelector(".plot-frame");
      this.image = figure.querySelector("img");
      this.caption = figure.querySelector(".plot-range");
      this.together = data.together;
      for (const name of ["from", "to", "length", "least"]) this[name] = Number(data[name]);
      this.held = new Map();
      this.frame.tabIndex = 0;
      this.frame.setAttribute("role", "group");
      this.frame.setAttribute("aria-label", `Waveforms of ${data.channel}. Arrow keys move, plus and minus zoom, 0 shows the whole.`);
      this.frame.addEventListener("keydown", (event) => this.key(event));
      this.frame.addEventListener("pointerdown", (event) => this.hold(event));
      this.frame.addEventListener("pointermove", (event) => this.drag(event));
      for (const name of ["pointerup", "pointercancel"]) this.frame.addEventListener(name, (event) => this.release(event));
      this.frame.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
      this.frame.addEventListener("dragstart", (event) => event.preventDefault());
      figure.addEventListener("click", (event) => this.press(event));
    }

    get shown() { return this.to - this.from; }
    get isWhole() { return this.from === 0 && this.to === this.length; }

    // The stretch of this length that begins there, pushed into the capture where it reaches out of it.
    at(from, length) {
      const begin = Math.max(0, Math.min(from, this.length - length));
      const step = Math.floor(10 ** Math.floor(Math.log10(Math.max(1, length / fineness))));
      const rounded = (time) => Math.round(time / step) * step;
      return [rounded(begin), begin + length === this.length ? this.length : Math.min(this.length, rounded(begin + length))];
    }

    about(factor, share = 0.5) {
      const length = Math.min(Math.max(Math.round(this.shown * factor), this.least), this.length);
      return this.at(this.from + Math.round((this.shown - length) * share), length);
    }

    stretch(step) {
      switch (step) {
        case "in": return this.shown <= this.least ? null : this.about(0.5);
        case "out": return this.isWhole ? null : this.about(2);
        case "earlier": return this.from === 0 ? null : this.at(this.from - Math.round(this.shown / 2), this.shown);
        case "later": return this.to === this.length ? null : this.at(this.from + Math.round(this.shown / 2), this.shown);
        default: return this.isWhole ? null : [0, this.length];
      }
    }

    // Where the time axis lies on the screen. Of the whole exercise a wide picture has more than one.
    get axis() {
      const data = this.figure.dataset, kind = this.drawn >= Number(data.wide) ? "wide" : "narrow";
      const box = this.frame.getBoundingClientRect(), scale = box.width / this.drawn;
      const left = Number(data[kind + "Left"]) * scale, right = Number(data[kind + "Right"]) * scale;
      return { left: box.left + left, width: box.width - left - right };
    }

    get drawn() { return this.width ?? (Number(new URL(this.image.currentSrc || this.image.src, location.href).searchParams.get("width")) || this.image.width); }

    key(event) {
      const step = { ArrowLeft: "earlier", ArrowRight: "later", "+": "in", "=": "in", "-": "out", "0": "whole" }[event.key];
      if (!step || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      this.go(this.stretch(step));
    }

    press(event) {
      const link = event.target.closest("a[data-step], a[data-go-from]");
      if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
      event.preventDefault();
      this.go(link.dataset.step ? this.stretch(link.dataset.step) : [Number(link.dataset.goFrom), Number(link.dataset.goTo)]);
    }

    wheel(event) {
      // Without the key that zooms, the wheel moves the page.
      if (!event.ctrlKey) return;
      event.preventDefault();
      const axis = this.axis;
      this.go(event.deltaY < 0 ? (this.shown <= this.least ? null : this.about(0.5, (event.clientX - axis.left) / axis.width)) : this.stretch("out"));
    }

    hold(event) {
      if (event.pointerType === "mouse" && event.button !== 0) return;
      this.held.set(event.pointerId, { begun: event.clientX, now: event.clientX });
      this.frame.setPointerCapture(event.pointerId);
      this.frame.classList.add("is-held");
    }

    drag(event) {
      const finger = this.held.get(event.pointerId);
      if (!finger) return;
      finger.now = event.clientX;
      if (this.held.size === 1 && !this.isWhole) this.image.style.transform = `translateX(${finger.now - finger.begun}px)`;
    }

    release(event) {
      const fingers = [...this.held.values()], finger = this.held.get(event.pointerId);
      if (!finger) return;
      this.held.clear();
      this.frame.classList.remove("is-held");
      this.image.style.transform = "";
      if (event.type === "pointercancel") return;
      const axis = this.axis;
      if (fingers.length === 2) {
        const [first, second] = fingers, begun = Math.abs(first.begun - second.begun), now = Math.abs(first.now - second.now);
        if (begun > longPress && now > longPress) this.go(this.about(begun / now, Math.min(1, Math.max(0, ((first.begun + second.begun) / 2 - axis.left) / axis.width))));
      } else if (!this.isWhole && Math.abs(finger.now - finger.begun) > longPress) {
        this.go(this.at(this.from - Math.round((finger.now - finger.begun) / axis.width * this.shown), this.shown));
      }
    }

    go(stretch) {
      if (!stretch) return;
      for (const plot of plots) if (plot === this || (this.together && plot.together === this.together)) plot.show(...stretch);
      const data = this.figure.dataset, page = data.page, query = this.query;
      history.replaceState(null, "", page + (query ? (page.includes("?") ? "&" : "?") + `channel=${encodeURIComponent(data.channel)}&${query}` : ""));
    }

    get query() { return this.isWhole ? "" : `from=${text(this.from)}&to=${text(this.to)}`; }

    show(from, to) {
      this.to = Math.min(to, this.length);
      this.from = Math.max(0, Math.min(from, this.to - Math.min(this.least, this.length)));
      this.offer();
      const data = this.figure.dataset;
      this.width = Math.max(Number(data.narrow), Math.round(this.frame.clientWidth / 20) * 20);
      const density = Math.min(3, Math.ceil(window.devicePixelRatio || 1), Math.max(1, Math.floor(4000 / this.width)));
      const address = `${data.plot}?${[data.fixed, this.query, `width=${this.width}&density=${density}`].filter((part) => part).join("&")}`;
      // What was asked for before, and has not come, is not wanted any more.
      if (this.coming) this.coming.src = "";
      const coming = this.coming = new Image();
      this.figure.classList.add("is-waiting");
      coming.onload = () => {
        if (coming !== this.coming) return;
        this.settle();
        this.figure.querySelectorAll("source").forEach((source) => source.remove());
        this.image.removeAttribute("loading");
        this.image.width = coming.naturalWidth / density;
        this.image.height = coming.naturalHeight / density;
        this.image.src = address;
        this.caption.textContent = this.isWhole ? `The whole capture, ${words(this.length)}` : `${words(this.from)} to ${words(this.to)}`;
      };
      coming.onerror = () => {
        if (coming !== this.coming) return;
        this.settle();
        this.caption.textContent = "The picture did not come. Load the page again.";
      };
      coming.src = address;
    }

    settle() {
      this.coming = null;
      this.figure.classList.remove("is-waiting");
    }

    // What cannot be pressed any more says so, and keeps the focus.
    offer() {
      for (const link of this.figure.querySelectorAll("a[data-step]")) {
        const stretch = this.stretch(link.dataset.step);
        if (stretch) {
          link.href = "#";
          link.removeAttribute("role");
          link.removeAttribute("aria-disabled");
        } else {
          link.setAttribute("role", "link");
          link.setAttribute("aria-disabled", "true");
          if (document.activeElement !== link) link.removeAttribute("href");
        }
      }
    }
  }

  const plots = [...document.querySelectorAll("figure[data-plot]")].map((figure) => new Plot(figure));
})();
