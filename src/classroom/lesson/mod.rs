//! Lessons: a text with figures, sliders and questions, as one page without outside parts, as slides and as a handout.
