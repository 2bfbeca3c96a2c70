/* dosewright: the program that checks.  It loads no font and draws nothing; for
 * a sheet it becomes dosewright-paper. */
#include "commands/commands.h"

int main(int argc, char **argv)
{
    return commands_main(argc, argv, NULL);
}
