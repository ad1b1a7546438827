// The printed page: one button, and all drawings fetched before the printer asks for them.

import { prepareSheets } from "./common/sheets.js";

prepareSheets();
const button = document.getElementById("print");
if (button) {
  button.hidden = false;
  button.addEventListener("click", async () => {
    await Promise.all([...document.images].map((image) => image.decode().catch(() => undefined)));
    print();
  });
}
