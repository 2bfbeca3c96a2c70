/* reader_layout: names within a clinic's folder; for this room only. */
#ifndef READER_LAYOUT_H
#define READER_LAYOUT_H

#define CLINIC_FILE "clinic.yaml"
#define SHELF_FILE "shelf.yaml"
#define PROTOCOL_FOLDER "protocols"
#define PATIENT_FOLDER "patients"
#define KEPT_FOLDER "approvals"
#define KEPT_RULES "rules.txt"

#endif
