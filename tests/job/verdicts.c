/* What the reader says of job files: verdicts FILE... prints "FILE<tab>line<tab>words" for every
 * error, and "FILE<tab>0<tab>" for a job without. */
#include "rabbet/job.h"

#include <stdio.h>
#include <string.h>

int main(int count, char **arguments)
{
    for (int i = 1; i < count; i++) {
        struct rab_warnings notes = {0};
        struct rab_error err = {0};
        struct rab_text text = {0};
        struct rab_job job = {0};

        if (!rab_file_read(arguments[i], 1 << 20, &text, &err)) {
            fprintf(stderr, "%s\n", err.text);
            return 1;
        }
        if (rab_job_read(text.data ? text.data : "", text.length, &job, &notes, &err))
            printf("%s\t0\t\n", arguments[i]);
        else
            printf("%s\t%d\t%s\n", arguments[i], err.line, err.text);
        for (size_t k = 0; k < notes.count; k++)
            if (strcmp(notes.items[k].code, "error") == 0)
                printf("%s\t%d\t%s\n", arguments[i], notes.items[k].line, notes.items[k].text);
        rab_job_clear(&job);
        rab_warnings_clear(&notes);
        rab_text_clear(&text);
    }
    return 0;
}
