#include "files/file_place.hpp"

#include <fcntl.h>
#include <stdio.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>

#include "files/file_error.hpp"

namespace dryfront {
namespace {

bool exists(const std::string& path) {
  struct stat status {};
  return ::lstat(path.c_str(), &status) == 0;
}

std::string folder_of(const std::string& path) {
  const auto slash = path.rfind('/');
  if (slash == std::string::npos) return ".";
  return slash == 0 ? "/" : path.substr(0, slash);
}

// A network or pseudo file system may have no way to synchronise a folder; that is no failure of ours.
void synchronise_folder(const std::string& folder) {
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) throw system_error(folder, "cannot open the folder", errno);
  const int failed = ::fsync(descriptor) == 0 ? 0 : errno;
  ::close(descriptor);
  if (failed != 0 && failed != EINVAL && failed != ENOTSUP) throw system_error(folder, "cannot synchronise", failed);
}

}  // namespace

FilePlace::FilePlace(std::string path, bool replace, Content content)
    : FilePlace(path, replace, path + ".part", content) {}

FilePlace::FilePlace(std::string path, bool replace, std::string part, Content content)
    : path_(std::move(path)), part_(std::move(part)), replace_(replace), settled_(content == Content::kept) {
  struct stat status {};
  if (::stat(path_.c_str(), &status) == 0 && S_ISDIR(status.st_mode)) {
    throw FileError(path_, "is a folder; give the name of a file");
  }
  if (!replace_ && exists(path_)) throw FileExists(path_, "exists already");

  took_over_ = exists(part_);
  descriptor_ = ::open(part_.c_str(), O_RDWR | (content == Content::anew ? O_CREAT : 0) | O_CLOEXEC, 0666);
  if (descriptor_ < 0)
    throw system_error(part_, content == Content::anew ? "cannot create" : "cannot go on with", errno);
  // A file system without locks cannot tell us of another writer; everything else works there.
  if (::flock(descriptor_, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK) {
    ::close(descriptor_);
    throw FileError(part_, "another run is writing it");
  }
  if (content == Content::anew && ::ftruncate(descriptor_, 0) != 0) {
    const int reason = errno;
    ::close(descriptor_);
    throw system_error(part_, "cannot empty", reason);
  }
}

FilePlace::~FilePlace() {
  if (!settled_) ::unlink(part_.c_str());
  ::close(descriptor_);
}

void FilePlace::write(const std::string& text) const {
  std::size_t done = 0;
  while (done < text.size()) {
    const ssize_t written = ::pwrite(descriptor_, text.data() + done, text.size() - done, static_cast<off_t>(done));
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) throw system_error(part_, "cannot write", errno);
    done += static_cast<std::size_t>(written);
  }
}

void FilePlace::synchronise() const {
  if (::fsync(descriptor_) != 0) throw system_error(part_, "cannot bring to the disk", errno);
}

void FilePlace::publish() {
  if (!replace_) {
    if (!publish_if_first()) throw FileExists(path_, "has appeared while this run was writing; not replaced");
    return;
  }
  synchronise();
  if (::rename(part_.c_str(), path_.c_str()) != 0) throw system_error(path_, "cannot rename " + part_, errno);
  settled_ = true;
  synchronise_folder(folder_of(path_));
}

bool FilePlace::publish_if_first() {
  synchronise();
  if (::renameat2(AT_FDCWD, part_.c_str(), AT_FDCWD, path_.c_str(), RENAME_NOREPLACE) != 0) {
    if (errno == EEXIST) return false;
    if (errno != EINVAL && errno != ENOSYS) throw system_error(path_, "cannot rename " + part_, errno);
    // A file system that does not know this call, such as NFS, may know a second name for the file instead.
    if (::link(part_.c_str(), path_.c_str()) == 0) {
      ::unlink(part_.c_str());
    } else {
      if (exists(path_)) return false;
      // Neither: the look a line above is the best that is left.
      if (::rename(part_.c_str(), path_.c_str()) != 0) throw system_error(path_, "cannot rename " + part_, errno);
    }
  }
  settled_ = true;
  synchronise_folder(folder_of(path_));
  return true;
}

}  // namespace dryfront
