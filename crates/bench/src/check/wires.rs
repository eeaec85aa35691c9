//! Wires, balls and pins in contact with a helicoid.
