/**
 * The line to the server: questions with one answer each, and events it tells by itself.
 *
 * It is taken up again by itself after the server was away; a question asked meanwhile is
 * refused, and whoever asked tries again with `onOpen`.
 */

const AGAIN_MS = 700;

export function makeLink({ onOpen, onEvent, onAway }) {
  const address = new URL("live", document.baseURI);
  address.protocol = "ws:";
  const waiting = new Map();
  let socket = null;
  let number = 0;

  function open() {
    socket = new WebSocket(address);
    socket.addEventListener("open", onOpen);
    socket.addEventListener("message", ({ data }) => {
      const message = JSON.parse(data);
      if (message.event) onEvent(message);
      else settle(message);
    });
    socket.addEventListener("close", () => {
      for (const { refuse } of waiting.values()) refuse(new Error("the bench is not running"));
      waiting.clear();
      onAway();
      setTimeout(open, AGAIN_MS);
    });
  }

  function settle(message) {
    const asked = waiting.get(message.id);
    waiting.delete(message.id);
    if (!asked) return;
    // what is wrong with the text stands under its lines already
    if (message.error) asked.refuse(Object.assign(new Error(message.error), { isText: Boolean(message.wrong) }));
    else asked.answer(message);
  }

  /** Ask the server to do something; a promise of its answer. */
  function ask(what, given = {}) {
    if (!socket || socket.readyState !== WebSocket.OPEN) {
      return Promise.reject(new Error("the bench is not running"));
    }
    number += 1;
    const id = number;
    socket.send(JSON.stringify({ do: what, id, ...given }));
    return new Promise((answer, refuse) => waiting.set(id, { answer, refuse }));
  }

  open();
  return { ask };
}
