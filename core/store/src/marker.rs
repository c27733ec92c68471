use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use sha2::{Digest as _, Sha256};

use crate::disk::{Disk, Writable};
use crate::error::StoreError;

const MAGIC: &[u8; 8] = b"wythe-mk";
const LENGTH: usize = 40;

/// A small file beside the database that says how far this store had come. It is written after each
/// commit and not synced: it may lag behind the database, never run ahead of it. A database that is
/// older than its marker was put back from a copy (or its disk forgot what it had promised to keep).
pub(crate) struct Marker {
    file: Box<dyn Writable>,
}

/// What a marker says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Mark {
    pub(crate) generation: [u8; 16],
    pub(crate) arrival: u64,
}

impl Mark {
    fn to_bytes(self) -> Vec<u8> {
        let mut bytes = MAGIC.to_vec();
        bytes.extend_from_slice(&self.generation);
        bytes.extend_from_slice(&self.arrival.to_be_bytes());
        let sum = Sha256::digest(&bytes);
        bytes.extend(sum.iter().take(8));
        bytes
    }

    fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let mark = Self {
            generation: bytes.get(8..24)?.try_into().ok()?,
            arrival: u64::from_be_bytes(bytes.get(24..32)?.try_into().ok()?),
        };
        (mark.to_bytes() == bytes).then_some(mark)
    }
}

impl Marker {
    /// What the marker says; none when there is none or it says nothing.
    pub(crate) fn look(disk: &dyn Disk, folder: &Path) -> Result<Option<Mark>, StoreError> {
        let wrong = |source| StoreError::disk("reading the store's marker", source);
        let mut bytes = Vec::new();
        match disk.read(&path(folder)) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            file => file
                .map_err(wrong)?
                .take(1024)
                .read_to_end(&mut bytes)
                .map_err(wrong)?,
        };
        Ok(Mark::from_bytes(&bytes))
    }

    /// Writes a marker that lasts, and keeps it open.
    pub(crate) fn begin(disk: &dyn Disk, folder: &Path, mark: Mark) -> Result<Self, StoreError> {
        let wrong = |source| StoreError::disk("writing the store's marker", source);
        let path = path(folder);
        let file = match disk.write(&path) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => disk.create(&path),
            other => other,
        };
        let mut marker = Self {
            file: file.map_err(wrong)?,
        };
        marker.write(mark).map_err(wrong)?;
        marker.file.sync().map_err(wrong)?;
        disk.sync_folder(folder).map_err(wrong)?;
        Ok(marker)
    }

    /// Moves the marker on. Forty bytes in one sector: a loss of power leaves the old or the new.
    pub(crate) fn write(&mut self, mark: Mark) -> std::io::Result<()> {
        let bytes = mark.to_bytes();
        debug_assert_eq!(bytes.len(), LENGTH, "the marker's form is fixed");
        self.file.seek(SeekFrom::Start(0))?;
        self.file.write_all(&bytes)
    }
}

fn path(folder: &Path) -> PathBuf {
    folder.join("marker")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::memory_disk::MemoryDisk;

    #[test]
    fn a_marker_reads_back_and_a_spoiled_one_says_nothing() {
        let (disk, folder) = (MemoryDisk::default(), Path::new("store"));
        assert_eq!(Marker::look(&disk, folder).unwrap(), None);
        let mut mark = Mark {
            generation: [3; 16],
            arrival: 7,
        };
        let mut marker = Marker::begin(&disk, folder, mark).unwrap();
        mark.arrival = 8;
        marker.write(mark).unwrap();
        assert_eq!(Marker::look(&disk, folder).unwrap(), Some(mark));
        marker.file.seek(SeekFrom::Start(30)).unwrap();
        marker.file.write_all(&[9]).unwrap();
        assert_eq!(Marker::look(&disk, folder).unwrap(), None);
    }
}
