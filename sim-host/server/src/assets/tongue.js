// The choice of a language. A cookie tells it to the server, which makes the page anew in it.

export function choice() {
  for (const select of document.querySelectorAll(".language")) {
    select.value = document.documentElement.lang;
    select.addEventListener("change", () => {
      document.cookie = `language=${select.value}; path=/; max-age=31536000; samesite=strict`;
      location.reload();
    });
  }
}
