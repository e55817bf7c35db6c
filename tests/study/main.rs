//! What `check` says about the demonstration set: nothing about the good recipes, one thing about each bad one.

mod demo_set;
