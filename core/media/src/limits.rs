//! Every bound of intake, by name.
//!
//! Peak memory of one photo's intake is the file, the decoded pixels, and for a progressive JPEG its
//! coefficients: at most [`PHOTO_BYTES`] + [`DECODED_BYTES`] + [`REDUCED_BYTES`].

/// Largest photo file, bytes. A 50-megapixel JPEG straight from a phone is about half of it.
pub const PHOTO_BYTES: u64 = 48 << 20;

/// Largest paper (PDF or JPEG), bytes.
pub const PAPER_BYTES: u64 = 48 << 20;

/// Largest picture that is decoded, pixels. Phones' full-size settings of 48 and 50 megapixels fit;
/// those of 100 and more do not, and a normal setting shows as much of a stove.
pub const PIXELS: u64 = 52_000_000;

/// Largest progressive JPEG that is decoded, pixels: all of its coefficients lie in memory at once.
pub const PROGRESSIVE_PIXELS: u64 = 20_000_000;

/// Passes of a progressive JPEG. An ordinary file has about ten; a bomb has thousands.
pub const PROGRESSIVE_PASSES: usize = 24;

/// Longest side of a picture, pixels.
pub const SIDE: u32 = 20_000;

/// Memory for decoded pixels and what the decoder keeps beside them, bytes.
pub const DECODED_BYTES: u64 = 224 << 20;

/// Memory for the reduced picture, its turned copy and its encoding, bytes.
pub const REDUCED_BYTES: u64 = 32 << 20;

/// Longest side of a preview, pixels.
pub const PREVIEW_SIDE: u32 = 1280;

/// JPEG quality of a preview, of 100.
pub const PREVIEW_QUALITY: u8 = 80;

/// Longest text that is taken over from a metadata field, characters.
pub const METADATA_TEXT: usize = 64;

/// Nesting of arrays and dictionaries in a PDF. Ordinary files stay under ten.
pub const PDF_NESTING: usize = 64;

/// Values in one object of a PDF.
pub const PDF_VALUES: usize = 200_000;

/// Objects in one PDF.
pub const PDF_OBJECTS: usize = 300_000;

/// Bytes that one compressed stream of a PDF's structure may unpack to.
pub const PDF_STREAM_BYTES: usize = 16 << 20;

/// Bytes that all compressed streams of a PDF's structure may unpack to together.
pub const PDF_UNPACKED_BYTES: usize = 64 << 20;

/// Pages of a paper.
pub const PDF_PAGES: u32 = 1_000;
