//! Long lists are read page by page.

use serde::Deserialize;

/// How many entries of a list are wanted at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(try_from = "u32")]
pub(crate) struct PageSize(u16);

/// Why a number is not a page size.
#[derive(Debug, thiserror::Error)]
#[error("{0} entries found; {least} to {most} are allowed", least = PageSize::LEAST, most = PageSize::MOST)]
pub(crate) struct BadPageSize(u32);

impl PageSize {
    pub(crate) const LEAST: u16 = 1;
    pub(crate) const MOST: u16 = 500;

    /// Cuts a list that was read with one entry more than this to size; true if there are more.
    pub(crate) fn cut<T>(self, list: &mut Vec<T>) -> bool {
        let more = list.len() > usize::from(self.0);
        list.truncate(usize::from(self.0));
        more
    }

    /// Cuts a list to size, and says by which entry the rest is asked for; none if there is no rest.
    pub(crate) fn next<T, K>(self, list: &mut Vec<T>, key: impl FnOnce(&T) -> K) -> Option<K> {
        let more = self.cut(list);
        list.last().filter(|_| more).map(key)
    }

    /// One entry more than is wanted: it tells whether there are more.
    pub(crate) fn and_one(self) -> i64 {
        i64::from(self.0) + 1
    }
}

/// Where nothing is said.
impl Default for PageSize {
    fn default() -> Self {
        Self(100)
    }
}

impl TryFrom<u32> for PageSize {
    type Error = BadPageSize;
    fn try_from(number: u32) -> Result<Self, BadPageSize> {
        let size = u16::try_from(number).map_err(|_| BadPageSize(number))?;
        if (Self::LEAST..=Self::MOST).contains(&size) {
            Ok(Self(size))
        } else {
            Err(BadPageSize(number))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_neither_empty_nor_endless() {
        assert!(PageSize::try_from(0).is_err());
        assert!(PageSize::try_from(501).is_err());
        let size = PageSize::try_from(2).unwrap();
        let mut list = vec![1, 2, 3];
        assert!(size.cut(&mut list));
        assert_eq!(list, [1, 2]);
        assert!(!size.cut(&mut list));
        assert_eq!(size.next(&mut vec![1, 2, 3], |n| *n), Some(2));
        assert_eq!(size.next(&mut vec![1, 2], |n| *n), None);
    }
}
