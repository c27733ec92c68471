//! SQLite's file layer ("VFS", <https://www.sqlite.org/vfs.html>) on a [`PowerDisk`].
//!
//! It does as SQLite's own layer for Unix does: the first sync of a new journal also syncs the name of
//! the journal, and a deletion syncs the folder when SQLite asks for it. One process has the file, so
//! locks are always granted and the shared index of the journal is plain memory.

use std::ffi::{CStr, CString, c_char, c_int, c_void};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::ptr;

use rusqlite::ffi;
use wythe_store::Disk as _;

use crate::disk::PowerDisk;

/// Makes a file layer of this name on the disk. It stays until the process ends.
///
/// # Errors
/// A text, when SQLite does not take it.
pub fn register(name: &str, disk: &PowerDisk) -> Result<(), String> {
    let name = CString::new(name).map_err(|error| error.to_string())?;
    let size = c_int::try_from(size_of::<OpenFile>()).map_err(|error| error.to_string())?;
    // SAFETY: the default layer is there once SQLite is linked; it is only read.
    let system = unsafe { ffi::sqlite3_vfs_find(ptr::null()).as_ref() };
    let system = system.ok_or("SQLite has no file layer of its own")?;
    let layer = ffi::sqlite3_vfs {
        iVersion: 2,
        szOsFile: size,
        mxPathname: 512,
        pNext: ptr::null_mut(),
        zName: name.into_raw(),
        pAppData: Box::into_raw(Box::new(disk.clone())).cast(),
        xOpen: Some(open),
        xDelete: Some(delete),
        xAccess: Some(access),
        xFullPathname: Some(full_path),
        ..*system
    };
    // SAFETY: the layer, its name and its data are never freed.
    let code = unsafe { ffi::sqlite3_vfs_register(Box::into_raw(Box::new(layer)), 0) };
    (code == ffi::SQLITE_OK)
        .then_some(())
        .ok_or_else(|| format!("SQLite answered {code}"))
}

/// What SQLite holds of an open file: its own head first.
#[repr(C)]
struct OpenFile {
    head: ffi::sqlite3_file,
    inner: *mut Inner,
}

struct Inner {
    disk: PowerDisk,
    file: u64,
    path: PathBuf,
    /// The next sync also makes the file's name last.
    names_itself: bool,
    /// The journal's index, in memory that SQLite reads and writes by itself.
    index: Vec<Vec<u64>>,
}

static METHODS: ffi::sqlite3_io_methods = ffi::sqlite3_io_methods {
    iVersion: 2,
    xClose: Some(close),
    xRead: Some(read),
    xWrite: Some(write),
    xTruncate: Some(truncate),
    xSync: Some(sync),
    xFileSize: Some(file_size),
    xLock: Some(lock),
    xUnlock: Some(lock),
    xCheckReservedLock: Some(check_lock),
    xFileControl: Some(control),
    xSectorSize: Some(sector_size),
    xDeviceCharacteristics: Some(characteristics),
    xShmMap: Some(index_map),
    xShmLock: Some(index_lock),
    xShmBarrier: Some(index_barrier),
    xShmUnmap: Some(index_unmap),
    xFetch: None,
    xUnfetch: None,
};

/// The disk of a layer.
///
/// # Safety
/// `layer` is one that [`register`] made.
unsafe fn disk_of<'a>(layer: *mut ffi::sqlite3_vfs) -> &'a PowerDisk {
    // SAFETY: `register` put a disk there that is never freed.
    unsafe { &*(*layer).pAppData.cast::<PowerDisk>() }
}

/// # Safety
/// `name` is a C string or null.
unsafe fn path_of(name: *const c_char) -> Option<PathBuf> {
    if name.is_null() {
        return None;
    }
    // SAFETY: SQLite gives names that end in zero.
    let name = unsafe { CStr::from_ptr(name) };
    name.to_str().ok().map(PathBuf::from)
}

/// # Safety
/// `file` is one that [`open`] opened and [`close`] has not closed.
unsafe fn inner<'a>(file: *mut ffi::sqlite3_file) -> &'a mut Inner {
    // SAFETY: `open` put it there; SQLite uses a connection's file from one thread at a time.
    unsafe { &mut *(*file.cast::<OpenFile>()).inner }
}

fn code(error: &std::io::Error, other: c_int) -> c_int {
    match error.kind() {
        ErrorKind::StorageFull => ffi::SQLITE_FULL,
        _ => other,
    }
}

unsafe extern "C" fn open(
    layer: *mut ffi::sqlite3_vfs,
    name: *const c_char,
    file: *mut ffi::sqlite3_file,
    flags: c_int,
    out: *mut c_int,
) -> c_int {
    // SAFETY: SQLite gives room for one `OpenFile`, and takes a file without methods for not opened.
    unsafe { (*file).pMethods = ptr::null() };
    // SAFETY: SQLite gives the layer and the name.
    let (disk, path) = unsafe { (disk_of(layer), path_of(name)) };
    let Some(path) = path else {
        return ffi::SQLITE_CANTOPEN;
    };
    if disk.is_off() {
        return ffi::SQLITE_IOERR;
    }
    let found = disk.find(&path);
    let is_new = found.is_none();
    let number = match found {
        Some(number) => number,
        None if flags & ffi::SQLITE_OPEN_CREATE == 0 => return ffi::SQLITE_CANTOPEN,
        None => match disk.make(&path) {
            Ok(number) => number,
            Err(error) => return code(&error, ffi::SQLITE_CANTOPEN),
        },
    };
    let journals = ffi::SQLITE_OPEN_MAIN_JOURNAL | ffi::SQLITE_OPEN_SUPER_JOURNAL | ffi::SQLITE_OPEN_WAL;
    let opened = Inner {
        disk: disk.clone(),
        file: number,
        path,
        names_itself: is_new && flags & journals != 0,
        index: Vec::new(),
    };
    // SAFETY: as above; `close` frees the inner part.
    unsafe {
        (*file.cast::<OpenFile>()).inner = Box::into_raw(Box::new(opened));
        (*file).pMethods = &raw const METHODS;
        if !out.is_null() {
            *out = flags;
        }
    }
    ffi::SQLITE_OK
}

unsafe extern "C" fn delete(layer: *mut ffi::sqlite3_vfs, name: *const c_char, syncs: c_int) -> c_int {
    // SAFETY: SQLite gives the layer and the name.
    let (disk, path) = unsafe { (disk_of(layer), path_of(name)) };
    let Some(path) = path else {
        return ffi::SQLITE_IOERR_DELETE;
    };
    let removed = disk.remove(&path).and_then(|()| match path.parent() {
        Some(folder) if syncs != 0 => disk.sync_folder(folder),
        _ => Ok(()),
    });
    match removed {
        Ok(()) => ffi::SQLITE_OK,
        Err(error) if error.kind() == ErrorKind::NotFound => ffi::SQLITE_IOERR_DELETE_NOENT,
        Err(_) => ffi::SQLITE_IOERR_DELETE,
    }
}

unsafe extern "C" fn access(
    layer: *mut ffi::sqlite3_vfs,
    name: *const c_char,
    _: c_int,
    out: *mut c_int,
) -> c_int {
    // SAFETY: SQLite gives the layer, the name and room for the answer.
    unsafe {
        let there = path_of(name).is_some_and(|path| disk_of(layer).find(&path).is_some());
        *out = c_int::from(there);
    }
    ffi::SQLITE_OK
}

unsafe extern "C" fn full_path(
    _: *mut ffi::sqlite3_vfs,
    name: *const c_char,
    room: c_int,
    out: *mut c_char,
) -> c_int {
    // SAFETY: SQLite gives a name that ends in zero.
    let name = unsafe { CStr::from_ptr(name) }.to_bytes_with_nul();
    if usize::try_from(room).is_ok_and(|room| name.len() <= room) {
        // SAFETY: the name fits in the room that SQLite gives.
        unsafe { ptr::copy_nonoverlapping(name.as_ptr().cast(), out, name.len()) };
        ffi::SQLITE_OK
    } else {
        ffi::SQLITE_CANTOPEN
    }
}

unsafe extern "C" fn close(file: *mut ffi::sqlite3_file) -> c_int {
    // SAFETY: `open` made the inner part, and SQLite closes a file once.
    drop(unsafe { Box::from_raw((*file.cast::<OpenFile>()).inner) });
    ffi::SQLITE_OK
}

unsafe extern "C" fn read(
    file: *mut ffi::sqlite3_file,
    buffer: *mut c_void,
    length: c_int,
    at: ffi::sqlite3_int64,
) -> c_int {
    // SAFETY: SQLite gives an open file.
    let inner = unsafe { inner(file) };
    let (Ok(length), Ok(at)) = (usize::try_from(length), u64::try_from(at)) else {
        return ffi::SQLITE_IOERR_READ;
    };
    // SAFETY: SQLite gives so many bytes of room.
    let buffer = unsafe { std::slice::from_raw_parts_mut(buffer.cast::<u8>(), length) };
    match inner.disk.bytes(inner.file, at, buffer) {
        Ok(read) if read == length => ffi::SQLITE_OK,
        Ok(read) => {
            for byte in buffer.iter_mut().skip(read) {
                *byte = 0;
            }
            ffi::SQLITE_IOERR_SHORT_READ
        }
        Err(_) => ffi::SQLITE_IOERR_READ,
    }
}

unsafe extern "C" fn write(
    file: *mut ffi::sqlite3_file,
    bytes: *const c_void,
    length: c_int,
    at: ffi::sqlite3_int64,
) -> c_int {
    // SAFETY: SQLite gives an open file.
    let inner = unsafe { inner(file) };
    let (Ok(length), Ok(at)) = (usize::try_from(length), u64::try_from(at)) else {
        return ffi::SQLITE_IOERR_WRITE;
    };
    // SAFETY: SQLite gives so many bytes.
    let bytes = unsafe { std::slice::from_raw_parts(bytes.cast::<u8>(), length) };
    match inner.disk.edit(inner.file, at, bytes) {
        Ok(()) => ffi::SQLITE_OK,
        Err(error) => code(&error, ffi::SQLITE_IOERR_WRITE),
    }
}

unsafe extern "C" fn truncate(file: *mut ffi::sqlite3_file, length: ffi::sqlite3_int64) -> c_int {
    // SAFETY: SQLite gives an open file.
    let inner = unsafe { inner(file) };
    let cut = u64::try_from(length).map(|length| inner.disk.cut_short(inner.file, length));
    match cut {
        Ok(Ok(())) => ffi::SQLITE_OK,
        _ => ffi::SQLITE_IOERR_TRUNCATE,
    }
}

unsafe extern "C" fn sync(file: *mut ffi::sqlite3_file, _: c_int) -> c_int {
    // SAFETY: SQLite gives an open file.
    let inner = unsafe { inner(file) };
    if inner.disk.sync_file(inner.file, &inner.path).is_err() {
        return ffi::SQLITE_IOERR_FSYNC;
    }
    if inner.names_itself {
        let folder = inner.path.parent().unwrap_or(Path::new("/"));
        if inner.disk.sync_folder(folder).is_err() {
            return ffi::SQLITE_IOERR_DIR_FSYNC;
        }
        inner.names_itself = false;
    }
    ffi::SQLITE_OK
}

unsafe extern "C" fn file_size(file: *mut ffi::sqlite3_file, out: *mut ffi::sqlite3_int64) -> c_int {
    // SAFETY: SQLite gives an open file.
    let inner = unsafe { inner(file) };
    let Ok(length) = i64::try_from(inner.disk.length(inner.file)) else {
        return ffi::SQLITE_IOERR_FSTAT;
    };
    // SAFETY: SQLite gives room for the answer.
    unsafe { *out = length };
    ffi::SQLITE_OK
}

unsafe extern "C" fn lock(_: *mut ffi::sqlite3_file, _: c_int) -> c_int {
    ffi::SQLITE_OK
}

unsafe extern "C" fn check_lock(_: *mut ffi::sqlite3_file, out: *mut c_int) -> c_int {
    // SAFETY: SQLite gives room for the answer.
    unsafe { *out = 0 };
    ffi::SQLITE_OK
}

unsafe extern "C" fn control(_: *mut ffi::sqlite3_file, _: c_int, _: *mut c_void) -> c_int {
    ffi::SQLITE_NOTFOUND
}

unsafe extern "C" fn sector_size(_: *mut ffi::sqlite3_file) -> c_int {
    c_int::try_from(crate::disk::SECTOR).unwrap_or(512)
}

unsafe extern "C" fn characteristics(_: *mut ffi::sqlite3_file) -> c_int {
    // As SQLite's own layer says: a sector that is not written does not change.
    ffi::SQLITE_IOCAP_POWERSAFE_OVERWRITE
}

unsafe extern "C" fn index_map(
    file: *mut ffi::sqlite3_file,
    region: c_int,
    size: c_int,
    extends: c_int,
    out: *mut *mut c_void,
) -> c_int {
    // SAFETY: SQLite gives an open file.
    let inner = unsafe { inner(file) };
    let (Ok(region), Ok(size)) = (usize::try_from(region), usize::try_from(size)) else {
        return ffi::SQLITE_IOERR_SHMMAP;
    };
    while extends != 0 && inner.index.len() <= region {
        inner.index.push(vec![0; size / size_of::<u64>()]);
    }
    let found = inner.index.get_mut(region);
    let found = found.map_or(ptr::null_mut(), |part| part.as_mut_ptr().cast());
    // SAFETY: SQLite gives room for the answer. A part's memory stays where it is while others come.
    unsafe { *out = found };
    ffi::SQLITE_OK
}

unsafe extern "C" fn index_lock(_: *mut ffi::sqlite3_file, _: c_int, _: c_int, _: c_int) -> c_int {
    ffi::SQLITE_OK
}

unsafe extern "C" fn index_barrier(_: *mut ffi::sqlite3_file) {
    std::sync::atomic::fence(std::sync::atomic::Ordering::SeqCst);
}

unsafe extern "C" fn index_unmap(file: *mut ffi::sqlite3_file, _: c_int) -> c_int {
    // SAFETY: SQLite gives an open file.
    unsafe { inner(file) }.index.clear();
    ffi::SQLITE_OK
}
