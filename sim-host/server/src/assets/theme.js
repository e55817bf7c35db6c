// Light or dark: as the device asks, or as it was chosen on a page here. Runs before anything is drawn, and so before there are words:
// the key's texts come with `say.js`, which tells when they are there.

(() => {
  const asked = matchMedia("(prefers-color-scheme: dark)");
  // A browser that keeps nothing remembers no choice.
  const kept = () => {
    try {
      return localStorage.getItem("theme");
    } catch {
      return null;
    }
  };
  const dark = () => (kept() ? kept() === "dark" : asked.matches);
  const show = () => {
    document.documentElement.dataset.theme = dark() ? "dark" : "light";
    for (const key of document.querySelectorAll(".theme")) key.textContent = (dark() ? key.dataset.light : key.dataset.dark) ?? "";
  };
  show();
  asked.addEventListener("change", show);
  addEventListener("storage", show);
  addEventListener("said", show);
  addEventListener("DOMContentLoaded", () => {
    for (const key of document.querySelectorAll(".theme")) {
      key.addEventListener("click", () => {
        try {
          localStorage.setItem("theme", dark() ? "light" : "dark");
        } catch {
          return;
        }
        show();
      });
    }
    show();
  });
})();
