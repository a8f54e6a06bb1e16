//! The cautions that go with everything that may lead someone to the equipment, and the limits
//! that go with every result.

/// Shown wherever a result may lead someone to the equipment.
pub const CAUTIONS: [&str; 5] = [
    "Qualified persons only. Local codes, the maker's manual and licensed practice come before \
     anything said here.",
    "A series circuit carries thousands of volts. Switch off, lock out and prove dead before \
     fitting leads or a clamp.",
    "Never open an energised series circuit: the voltage at the gap rises until something gives.",
    "Check the voltage category of the clamp against the voltage of the loop at the place where it \
     is fitted.",
    "Have the output shorted or the field connected before switching on, as the maker's manual says.",
];

/// Shown with every verdict of the ideal laws.
pub const LIMITS: [&str; 4] = [
    "Meters are taken by their detector law here. Accuracy, range, bandwidth, crest limit, resolution \
     and temperature of a real meter come on top: `loopcrest fitness` counts them from a data sheet.",
    "The current is the shape or capture named for each step, scaled to the step's nominal; on \
     another load, with lamps out or with the output shorted it is another shape.",
    "A capture of the real current outranks any drawn shape.",
    "Lamp laws are for incandescent filaments near their rated current; halogen lamps at low current \
     do not follow the life law.",
];
