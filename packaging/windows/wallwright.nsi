; The Windows installer, by NSIS 3: makensis /DVERSION=0.1.0 /DFOLDER=..\..\build\packages\wallwright /DICON=..\..\build\icons\wallwright.ico wallwright.nsi
; Installs for the present person, without administrator rights. The person may choose the folder, so the uninstaller
; deletes the installed files by name (uninstall_list.py) and never a folder with its content.
Unicode true
!include "MUI2.nsh"

!tempfile INSTALLED
!ifndef PYTHON
  !define PYTHON python
!endif
!system '${PYTHON} uninstall_list.py "${FOLDER}" "${INSTALLED}"' = 0

Name "Wallwright"
OutFile "wallwright-${VERSION}-setup.exe"
InstallDir "$LOCALAPPDATA\Programs\Wallwright"
RequestExecutionLevel user
SetCompressor /SOLID lzma
!ifdef ICON
  Icon "${ICON}"
  UninstallIcon "${ICON}"
!endif

!insertmacro MUI_PAGE_LICENSE "..\LICENSE"
!insertmacro MUI_PAGE_DIRECTORY
!insertmacro MUI_PAGE_INSTFILES
!insertmacro MUI_UNPAGE_CONFIRM
!insertmacro MUI_UNPAGE_INSTFILES
!insertmacro MUI_LANGUAGE "English"
!insertmacro MUI_LANGUAGE "German"

!define UNINSTALL "Software\Microsoft\Windows\CurrentVersion\Uninstall\Wallwright"

Section
  ; The uninstaller of an earlier version knows which files that one installed.
  IfFileExists "$INSTDIR\uninstall.exe" 0 +2
  ExecWait '"$INSTDIR\uninstall.exe" /S _?=$INSTDIR'
  SetOutPath "$INSTDIR"
  File /r "${FOLDER}\*.*"
  WriteUninstaller "$INSTDIR\uninstall.exe"
  CreateShortcut "$SMPROGRAMS\Wallwright.lnk" "$INSTDIR\wallwright-window.exe" "window"
  WriteRegStr HKCU "Software\Classes\.wallwright" "" "Wallwright.Project"
  WriteRegStr HKCU "Software\Classes\Wallwright.Project" "" "Wallwright project"
  WriteRegStr HKCU "Software\Classes\Wallwright.Project\DefaultIcon" "" "$INSTDIR\wallwright.exe,0"
  WriteRegStr HKCU "Software\Classes\Wallwright.Project\shell\open\command" "" '"$INSTDIR\wallwright-window.exe" window "%1"'
  WriteRegStr HKCU "${UNINSTALL}" "DisplayName" "Wallwright"
  WriteRegStr HKCU "${UNINSTALL}" "DisplayVersion" "${VERSION}"
  WriteRegStr HKCU "${UNINSTALL}" "DisplayIcon" "$INSTDIR\wallwright.exe"
  WriteRegStr HKCU "${UNINSTALL}" "Publisher" "the Wallwright authors"
  WriteRegDWORD HKCU "${UNINSTALL}" "NoModify" 1
  WriteRegDWORD HKCU "${UNINSTALL}" "NoRepair" 1
  WriteRegStr HKCU "${UNINSTALL}" "UninstallString" '"$INSTDIR\uninstall.exe"'
SectionEnd

Section "Uninstall"
  Delete "$SMPROGRAMS\Wallwright.lnk"
  DeleteRegKey HKCU "Software\Classes\.wallwright"
  DeleteRegKey HKCU "Software\Classes\Wallwright.Project"
  DeleteRegKey HKCU "${UNINSTALL}"
  !include "${INSTALLED}"
  Delete "$INSTDIR\uninstall.exe"
  RMDir "$INSTDIR"
SectionEnd
!delfile "${INSTALLED}"
