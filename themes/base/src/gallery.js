// The gallery, and the other pages that belong to no piece.

import { keepOffline } from "./common/offline.js";
import { prepareSheets } from "./common/sheets.js";
import { prepareKeeping } from "./keeping.js";
import { prepareFinder } from "./shelf/finder.js";

prepareSheets();
void prepareFinder(prepareKeeping);
keepOffline();
prepareKeeping(document.querySelectorAll("button[data-keep]"));
