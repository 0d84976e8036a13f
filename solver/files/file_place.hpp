// Where a result goes: into NAME.part first, under its own name only when it is whole.
#pragma once

#include <string>

namespace dryfront {

// The place of one result file. While it exists nobody else who goes through here can write to the same NAME.part.
class FilePlace {
 public:
  enum class Content { anew, kept };  // kept: NAME.part has to be there, stays as it is and is not removed

  // Refuses: with FileExists an existing file unless `replace`; with FileError a directory, a folder that cannot be
  // written, and a NAME.part another process is writing. An abandoned NAME.part is taken over and emptied.
  FilePlace(std::string path, bool replace, Content content = Content::anew);
  // The same with another name than NAME.part, for a file that several processes may want to make at once.
  FilePlace(std::string path, bool replace, std::string part, Content content = Content::anew);
  FilePlace(const FilePlace&) = delete;
  FilePlace& operator=(const FilePlace&) = delete;
  // Removes NAME.part unless it was published or kept.
  ~FilePlace();

  const std::string& path() const { return path_; }
  const std::string& part() const { return part_; }
  bool took_over() const { return took_over_; }  // an abandoned NAME.part was there

  // Writes `text` as the whole content of NAME.part.
  void write(const std::string& text) const;
  // Brings the content of NAME.part to the disk. publish() does it too; alone it is for several files that must not
  // appear before all of them are safe.
  void synchronise() const;
  // Brings the content of NAME.part to the disk, gives it its own name, brings the name to the disk. Without `replace`
  // a file that has appeared there meanwhile is left alone and refused.
  void publish();
  // The same, but whatever `replace` says a file that is there by now stays, and false comes back.
  bool publish_if_first();
  // Leaves NAME.part where it is.
  void keep() { settled_ = true; }

 private:
  std::string path_;
  std::string part_;
  bool replace_ = false;
  bool took_over_ = false;
  bool settled_ = false;
  int descriptor_ = -1;  // holds the lock
};

}  // namespace dryfront
