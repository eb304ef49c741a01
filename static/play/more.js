// What the next ball does not need comes as a second script, when something of it is asked for first (second.js).

import { eyePage } from "./eye.js";
import { groupPage, refreshGroup } from "./group.js";
import { laterPage } from "./later.js";
import { picture } from "./picture.js";
import { correctPage, pastPage, summaryPage } from "./review.js";
import { tallyPage, walkPage } from "./tally.js";
import { turfPage } from "./turf.js";

export const pages = {
  correctPage, eyePage, groupPage, laterPage, pastPage, picture, refreshGroup, summaryPage, tallyPage, turfPage,
  walkPage,
};
