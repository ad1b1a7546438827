"""A device that takes its sound away, as WebKit's do when a call comes in: a stand-in for its context.

While it is interrupted the state is ``interrupted``, the clock stands, and to resume is refused. Afterwards the context
waits, suspended, until it is resumed within a tap.
"""

from __future__ import annotations

from playwright.sync_api import Page

CALLS = """
window.call = { on: false, contexts: [], inTap: false, outside: 0 };
for (const type of ["click", "keydown"]) {
  addEventListener(type, () => (call.inTap = true), { capture: true });
  addEventListener(type, () => (call.inTap = false));
}
const Sound = AudioContext;
window.AudioContext = class extends Sound {
  constructor(...all) {
    super(...all);
    call.contexts.push(this);
    if (call.on) super.suspend();
  }
  get state() { return call.on && super.state !== "closed" ? "interrupted" : super.state; }
  resume() {
    if (call.on) return Promise.reject(new DOMException("interrupted", "InvalidStateError"));
    if (!call.inTap && super.state !== "running") call.outside += 1;
    return super.resume();
  }
};
call.comes = async () => {
  call.on = true;
  await Promise.all(call.contexts.filter((each) => each.state !== "closed").map((each) => each.suspend()));
  for (const each of call.contexts) each.dispatchEvent(new Event("statechange"));
};
call.ends = () => {
  call.on = false;
  for (const each of call.contexts) each.dispatchEvent(new Event("statechange"));
  document.dispatchEvent(new Event("visibilitychange"));
};
"""


def a_call_comes(page: Page) -> None:
    page.evaluate("call.comes()")


def the_call_ends(page: Page) -> None:
    page.evaluate("call.ends()")
