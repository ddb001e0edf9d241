//! Test harness.
