// The server's plain requests. Every one carries the token that the page was served with.

import { say } from "./say.js";

const meta = document.querySelector('meta[name="twinplate-token"]');
export const token = meta ? meta.content : "";

// Links between pages keep the token where the page came with one in its address.
export function page(path) {
  const given = new URLSearchParams(location.search).get("token");
  if (!given) return path;
  return `${path}${path.includes("?") ? "&" : "?"}token=${encodeURIComponent(given)}`;
}

// The debrief of an attempt, for who knows at which station it was made.
export const debriefOf = (attempt, station) => page(`/debrief/${attempt}?station=${encodeURIComponent(station)}`);

async function answer(response) {
  if (response.ok) return response;
  let why = say("api-answered", { status: String(response.status) });
  try {
    const told = await response.json();
    if (told.error) why = told.error;
  } catch {
    // No JSON: the number has to do.
  }
  throw new Error(why);
}

export async function get(path) {
  const response = await fetch(path, { headers: { "x-twinplate-token": token }, cache: "no-store" });
  return (await answer(response)).json();
}

export async function post(path, body) {
  const response = await fetch(path, {
    method: "POST",
    headers: { "x-twinplate-token": token, "content-type": "application/json" },
    body: JSON.stringify(body),
  });
  return (await answer(response)).json();
}

// Saves what a path gives under a name: a plain link could not carry the token.
export async function save(path, name) {
  const response = await answer(await fetch(path, { headers: { "x-twinplate-token": token } }));
  const url = URL.createObjectURL(await response.blob());
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}
