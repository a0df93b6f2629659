// @ts-check
/** Sections in the order of the job; a new section is a new module and a line here. */

import "./curves.js";
import "./bends.js";
import "./steam.js";
import "./forms.js";
import "./boards.js";
import "./cutting.js";
import "./joints.js";
import "./book.js";
import "./file.js";
