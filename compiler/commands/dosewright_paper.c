/* dosewright-paper: the program that draws sheets; it knows every command but those of the desk. */
#include "commands/commands.h"
#include "commands/dosewright_day.h"
#include "commands/dosewright_letters.h"
#include "commands/dosewright_night.h"
#include "commands/dosewright_read.h"
#include "commands/dosewright_reports.h"

int main(int argc, char **argv)
{
    const PaperCommands paper = {command_sheet, command_read, command_review, command_rule_book,
                                 command_letters, command_day, command_move, command_recall,
                                 command_night, command_find, NULL, NULL};
    return commands_main(argc, argv, &paper);
}
