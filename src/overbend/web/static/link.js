// @ts-check
/**
 * The line to the server: one websocket, opened again when it falls, and a number on every
 * request so that an answer can say which it answers.
 */

/** @typedef {{type: string, [name: string]: any}} Message */

/** @type {Map<string, Array<(message: Message) => void>>} */
const listeners = new Map();
/** @type {WebSocket | null} */
let socket = null;
let wait = 250;
let tick = 0;
let ended = false;

/** Number of the last request. */
export let seq = 0;

/**
 * @param {string} type
 * @param {(message: Message) => void} act
 */
export function on(type, act) {
  const known = listeners.get(type) ?? [];
  known.push(act);
  listeners.set(type, known);
}

/** @param {Message} message */
function tell(message) {
  for (const act of listeners.get(message.type) ?? []) act(message);
}

/**
 * Send a request; what is sent while the line is down is not kept, the page shows it is down.
 * @param {Message} message
 * @returns {number} its number
 */
export function send(message) {
  seq += 1;
  if (socket?.readyState === WebSocket.OPEN) socket.send(JSON.stringify({ ...message, seq }));
  return seq;
}

/** Whether the line is up. */
export function up() { return socket?.readyState === WebSocket.OPEN; }

/** @param {string} project */
export function open(project) {
  const place = project.split("/").map(encodeURIComponent).join("/");
  socket = new WebSocket(`ws://${location.host}/live/${place}`);
  socket.onopen = () => { wait = 250; tick = 0; };
  socket.onmessage = (event) => {
    const message = JSON.parse(event.data);
    if (message.type === "gone") ended = true;
    if (message.type === "answers") {
      if (message.tick <= tick) return; // an older answer never goes over a newer one
      tick = message.tick;
    }
    tell(message);
  };
  socket.onclose = () => {
    tell({ type: "down", ended });
    if (ended) return;
    setTimeout(() => open(project), wait);
    wait = Math.min(wait * 1.6, 4000);
  };
}
