// What a visit, or one ball, can be set to: [stored value, word].

export const MEASURED_BY = [["eye", "by eye"], ["laser", "laser"], ["monitor", "launch monitor"]];
export const UNKNOWN = ["", "unknown"];
export const BALLS = [["range", "range balls"], ["own", "own balls"], ["limited", "limited flight"], UNKNOWN];
export const SURFACES = [["mat", "mat"], ["grass", "grass"], ["sand", "sand"], UNKNOWN];
export const WINDS = [["calm", "calm"], ["breeze", "breeze"], ["windy", "windy"], UNKNOWN];
export const WINDS_FROM = [
  ["ahead", "into it"], ["behind", "down it"], ["left", "from left"], ["right", "from right"], UNKNOWN,
];
export const STANDS = [
  ["line", "on the line"], ["offset", "in front or behind"],
  ["lasered", "lasered from here"], ["unchecked", "nobody checked"],
];
