//! Choices read from bytes. A byte of zero takes the first and plainest option, so that a failing
//! scenario shrinks to the plainest one that still fails.

/// Bytes that are used up one by one; after the last every choice is the plainest.
pub(crate) struct Choices<'a> {
    bytes: std::slice::Iter<'a, u8>,
}

impl<'a> Choices<'a> {
    pub(crate) fn of(bytes: &'a [u8]) -> Self {
        Self {
            bytes: bytes.iter(),
        }
    }

    fn byte(&mut self) -> u8 {
        self.bytes.next().copied().unwrap_or(0)
    }

    /// One of the options.
    pub(crate) fn one_of<T: Copy>(&mut self, options: &[T]) -> T {
        options[usize::from(self.byte()) % options.len()]
    }

    /// A number from `least` to `most`.
    pub(crate) fn number(&mut self, least: u16, most: u16) -> u16 {
        least + u16::from(self.byte()) % (most - least + 1)
    }

    /// Something between two bounds.
    pub(crate) fn between(&mut self, least: f64, most: f64) -> f64 {
        let part = f64::from(self.byte()) / 255.0;
        // Few digits, so that a failing scenario can be read.
        ((least + part * (most - least)) * 100.0).round() / 100.0
    }

    /// True in one of `n` cases.
    pub(crate) fn one_in(&mut self, n: u8) -> bool {
        self.byte() % n == n - 1
    }
}
