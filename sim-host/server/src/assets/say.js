// The words of the pages: every one stands in the catalogue of the page's language (`words/`, in Fluent, an open format), and is asked for
// by its name. Imported first of all: whoever asks finds the catalogue there.

const { FluentBundle, FluentResource } = globalThis.FluentBundle;

export const language = document.documentElement.lang;

const bundle = new FluentBundle(language, { useIsolating: false });
const answer = await fetch(`/assets/${language}.ftl`);
const wrong = bundle.addResource(new FluentResource(await answer.text()));
if (!answer.ok || wrong.length) throw new Error(`the catalogue ${language} cannot be read: ${answer.status} ${wrong}`);

function formed(id, pattern, args) {
  const errors = [];
  const text = bundle.formatPattern(pattern, args, errors);
  if (errors.length) console.error(`catalogue ${language}, ${id}: ${errors}`);
  return text;
}

// A word, a line, a sentence. A name that no catalogue has is shown as it is.
export function say(id, args) {
  const message = bundle.getMessage(id);
  if (message?.value) return formed(id, message.value, args);
  console.error(`catalogue ${language}: ${id} is missing`);
  return id;
}

// What a page's own text says: each node names its message, whose attributes are the node's.
for (const node of document.querySelectorAll("[data-say]")) {
  const id = node.dataset.say;
  const message = bundle.getMessage(id);
  if (!message) console.error(`catalogue ${language}: ${id} is missing`);
  if (message?.value) node.textContent = formed(id, message.value);
  for (const [name, pattern] of Object.entries(message?.attributes ?? {})) node.setAttribute(name, formed(id, pattern));
}

// The key of light and dark gets both of its texts: `theme.js`, which runs before there is a catalogue, shows the one that holds.
for (const key of document.querySelectorAll(".theme")) Object.assign(key.dataset, { light: say("theme-light"), dark: say("theme-dark") });
dispatchEvent(new Event("said"));
