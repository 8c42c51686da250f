// A bench device logs in once with the pass phrase on the desk's screen.
import { el } from "./make.js";
import { send } from "./store.js";

const place = document.querySelector("#place");
const phrase = el("input", { required: true, autocomplete: "off", autocapitalize: "none", autofocus: true, "aria-label": "Pass phrase" });
const told = el("p.say", { role: "status" });

async function login(event) {
  event.preventDefault();
  try {
    await send("/api/login", { phrase: phrase.value });
    const to = new URLSearchParams(location.search).get("to") || "";
    location.href = /^\/(bench|d)\/[^/\\]/.test(to) ? to : "/bench"; // nowhere but to the bench
  } catch (fault) {
    told.textContent = fault.message;
  }
}

place.append(el("h1", {}, "Pass phrase"), el("p", {}, "It stands on the screen of the computer at the desk."), el("form.row", { onsubmit: login }, phrase, el("button.main", { type: "submit" }, "Log in")), told);
