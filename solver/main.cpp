#include "commands/command_line.hpp"

int main(int argc, char** argv) { return dryfront::command_line(argc, argv); }
