//! Spans of time, in the unit people count them in.

use super::input;

input! {
    /// Time under gas, in a store or in the open, up to a year.
    WaitHours("hours", "h", 0.0..=8784.0, example 24.0) => TimeSpan * 3.6e3
}
input! {
    /// Time in a cold store with several containers, up to a week.
    StoreHours("hours in a store", "h", 0.1..=168.0, example 24.0) => TimeSpan * 3.6e3
}
input! {
    /// Time of shaking, sparging or heating, up to a day.
    WaitMinutes("minutes", "min", 0.0..=1440.0, example 5.0) => TimeSpan * 6e1
}
input! {
    /// Time between two events that are timed with a watch, up to a day.
    ShortWait("seconds", "s", 0.0..=86400.0, example 60.0) => TimeSpan
}
input! {
    /// Time between two weighings, up to a year.
    WaitDays("days", "d", 0.01..=366.0, example 7.0) => TimeSpan * 8.64e4
}
