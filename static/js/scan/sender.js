// Pages that ask who it is send what waits too: a tablet may stand at them for hours.
import { start } from "./outbox.js";
import * as waiting from "./waiting.js";

waiting.start();
start();
