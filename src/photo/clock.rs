//! How far a camera's clock stood from true time. In work.
