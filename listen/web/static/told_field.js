// A field of what holds for a whole part, as it was told. What is half written stays until it is set, beside what holds
// meanwhile. An empty field shows what was heard.

import { attempt, isRefused, make } from "./api.js";
import { Drafts } from "./draft.js";
import { refuse } from "./said.js";

const drafts = new Drafts("listen.take.told."); // by the take and what it is

export function makeToldField(shown, what, { text, size = 8 }) {
  const name = shown.ident + what, told = shown.sheet.told[what] ?? "";
  const write = () => {
    if (input.value === told) drafts.delete(name);
    else drafts.set(name, { text: input.value, seen: drafts.get(name)?.seen ?? told });
  };
  const input = make("input", { name: "value", value: told, placeholder: told ? "" : shown.sheet.holds[what] ?? "", size, maxlength: 80, autocomplete: "off", spellcheck: "false", oninput: write });
  const form = make("form", { class: "own", "data-what": what, onsubmit: (event) => {
    event.preventDefault();
    const { value } = input;
    attempt(() => shown.change({ what, value }, () => settle(value)).catch((error) => { keepRefused(error, value); throw error; }), { field: input });
  } }, make("label", {}, `${text} `, input), make("button", { "aria-label": `Set: ${text}` }, "Set"));

  // A reload must not show it as if it held.
  function keepRefused(error, sent) {
    const now = drafts.get(name);
    if (isRefused(error) && now?.text === sent) drafts.set(name, { ...now, refused: error.message });
  }

  // What was sent is set; what was written since then stays.
  function settle(sent) {
    const now = drafts.get(name);
    if (now && now.text !== sent) { drafts.set(name, { ...now, seen: sent }); return; }
    drafts.delete(name);
    form.reset();
  }

  function showDraft({ text: written, seen, refused }) {
    input.value = written;
    if (refused) refuse(input, refused);
    form.dataset.draft = "";
    if (seen === told) return;
    const take = () => { drafts.delete(name); input.value = told; meanwhile.remove(); input.focus(); };
    const meanwhile = make("span", { role: "status" }, told ? `Meanwhile it is ${told}. ` : "Meanwhile it is as it was heard. ",
      make("button", { type: "button", onclick: take }, "Take that"));
    form.append(meanwhile);
  }

  const draft = drafts.get(name);
  if (draft?.text === told) drafts.delete(name);
  else if (draft) showDraft(draft);
  return form;
}
