//! session (placeholder while the stages are being built)
pub mod plan;
