//! Figures for teaching: a numbered set, each with the lesson it tells and the numbers it is drawn from.
