//! placeholder replaced by the crate's first commit
