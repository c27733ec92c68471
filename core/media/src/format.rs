use serde::{Deserialize, Serialize};

/// What a file is, told from its first bytes and never from its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Format {
    /// JPEG, ISO/IEC 10918-1.
    Jpeg,
    /// PNG, ISO/IEC 15948.
    Png,
    /// A still picture in the HEIF container, ISO/IEC 23008-12.
    Heic,
    /// PDF, ISO 32000.
    Pdf,
}

impl Format {
    /// Tells the format from the first bytes of a file; 64 bytes are enough. `None` if it is another.
    #[must_use]
    pub fn sniff(head: &[u8]) -> Option<Self> {
        if head.starts_with(&[0xFF, 0xD8, 0xFF]) {
            return Some(Self::Jpeg);
        }
        if head.starts_with(b"\x89PNG\r\n\x1a\n") {
            return Some(Self::Png);
        }
        if head.starts_with(b"%PDF-") {
            return Some(Self::Pdf);
        }
        is_heif(head).then_some(Self::Heic)
    }

    /// File name extension, without a dot.
    #[must_use]
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::Heic => "heic",
            Self::Pdf => "pdf",
        }
    }

    /// Media type, RFC 6838.
    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Heic => "image/heic",
            Self::Pdf => "application/pdf",
        }
    }
}

/// A file type box whose major or compatible brands name a HEVC-coded still picture.
/// Brands: ISO/IEC 23008-12, clause 10 and annex B.
fn is_heif(head: &[u8]) -> bool {
    const BRANDS: [&[u8]; 6] = [b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1"];
    let Some((size, rest)) = head.split_first_chunk::<4>() else {
        return false;
    };
    let Some(brands) = rest.strip_prefix(b"ftyp") else {
        return false;
    };
    let body = usize::try_from(u32::from_be_bytes(*size))
        .unwrap_or(0)
        .saturating_sub(8);
    brands
        .chunks_exact(4)
        .take(body.min(56) / 4)
        .any(|brand| BRANDS.contains(&brand))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_bytes_tell_the_format() {
        assert_eq!(Format::sniff(&[0xFF, 0xD8, 0xFF, 0xE1]), Some(Format::Jpeg));
        assert_eq!(Format::sniff(b"\x89PNG\r\n\x1a\n...."), Some(Format::Png));
        assert_eq!(Format::sniff(b"%PDF-1.7\n"), Some(Format::Pdf));
        assert_eq!(
            Format::sniff(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic"),
            Some(Format::Heic)
        );
        assert_eq!(
            Format::sniff(b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic"),
            Some(Format::Heic)
        );
    }

    #[test]
    fn other_files_are_told_apart() {
        assert_eq!(Format::sniff(b""), None);
        assert_eq!(Format::sniff(b"GIF89a"), None);
        assert_eq!(Format::sniff(b"\0\0\0\x18ftypisom\0\0\0\0isomavc1"), None);
        assert_eq!(Format::sniff(b"\xFF\xD8"), None);
    }
}
