// @ts-check
import { register } from "../notes.js";

register({ id: "boards" });
