//! Shared helpers of the test suites.

pub mod similar;
