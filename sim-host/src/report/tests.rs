//! Tests of the reports.
