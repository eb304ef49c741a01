// The pages that the next ball does not need. They come as a second script when the first of them is asked for.

import { eyePage } from "./eye.js";
import { groupPage, refreshGroup } from "./group.js";
import { laterPage } from "./later.js";
import { correctPage, pastPage, summaryPage } from "./review.js";
import { tallyPage, walkPage } from "./tally.js";
import { turfPage } from "./turf.js";

export const pages = {
  correctPage, eyePage, groupPage, laterPage, pastPage, refreshGroup, summaryPage, tallyPage, turfPage, walkPage,
};
