// What neither today's plan nor the next ball needs comes as a second script, when something of it is asked for first
// (second.js).

import { eyePage } from "./eye.js";
import { faultyList } from "./faulty.js";
import { groupPage, refreshGroup } from "./group.js";
import { laterPage } from "./later.js";
import { logPage, saidWith } from "./logs.js";
import { outcomePage } from "./outcome.js";
import { picture } from "./picture.js";
import { correctPage, pastPage, summaryPage } from "./review.js";
import { tallyPage, walkPage } from "./tally.js";
import { thisBall } from "./this-ball.js";
import { turfPage } from "./turf.js";
import { visitPage } from "./visit.js";

export const pages = {
  correctPage, eyePage, faultyList, groupPage, laterPage, logPage, outcomePage, pastPage, picture, refreshGroup,
  saidWith, summaryPage, tallyPage, thisBall, turfPage, visitPage, walkPage,
};
