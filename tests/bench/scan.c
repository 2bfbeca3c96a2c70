/* scan: a bare libyaml event scan of one file, so many times.  usage: scan FILE TIMES */
#include <glib.h>
#include <stdlib.h>
#include <yaml.h>

int main(int argc, char **argv)
{
    g_autofree char *text = NULL;
    gsize length;
    if (argc != 3 || !g_file_get_contents(argv[1], &text, &length, NULL))
        return 2;
    for (int i = 0; i < atoi(argv[2]); i++) {
        yaml_parser_t parser;
        yaml_event_t event;
        gboolean more = TRUE;
        if (!yaml_parser_initialize(&parser))
            return 3;
        yaml_parser_set_input_string(&parser, (const unsigned char *)text, length);
        while (more && yaml_parser_parse(&parser, &event)) {
            more = event.type != YAML_STREAM_END_EVENT;
            yaml_event_delete(&event);
        }
        yaml_parser_delete(&parser);
    }
    return 0;
}
