//! How a fault looks on a screen.
