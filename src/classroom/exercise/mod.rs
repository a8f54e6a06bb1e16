//! Exercises: problems drawn from a seed, their worked solutions by the same engine, and the checking of answers.
