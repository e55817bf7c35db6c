//! Bad logs.
