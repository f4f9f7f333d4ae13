// Puts what the service tells into the page, and says when it tells nothing any more.
"use strict";
(() => {
  const region = document.querySelector("[data-live]");
  const state = document.querySelector("[data-live-state]");
  if (!region) return;

  // Forms stay as they are while somebody fills them in; what can be pressed now follows the bench.
  const follow = () => {
    const now = region.querySelector("[data-state]");
    if (!now) return;
    for (const part of document.querySelectorAll("[data-while]")) part.hidden = part.dataset.while !== now.dataset.state;
    for (const field of document.querySelectorAll("[data-asked]")) field.value = now.dataset.question ?? "";
    for (const field of document.querySelectorAll("[data-running]")) field.value = now.dataset.job ?? "";
  };

  const lost = () => {
    if (state.textContent === "") state.textContent = `No connection to the service since ${new Date().toLocaleTimeString()}: what is shown may be out of date. It is tried again.`;
  };

  const watch = () => {
    const source = new EventSource(region.dataset.live);
    source.onmessage = event => {
      state.textContent = "";
      if (region.innerHTML === event.data) return;
      region.innerHTML = event.data;
      follow();
    };
    source.onerror = () => {
      lost();
      // A browser tries again by itself where the connection was lost, but not where it was refused.
      if (source.readyState !== EventSource.CLOSED) return;
      setTimeout(() => fetch(location.href, { redirect: "manual" }).then(answer => {
        if (answer.type === "opaqueredirect") location.reload();
        else watch();
      }, watch), 2000);
    };
  };
  watch();
})();
